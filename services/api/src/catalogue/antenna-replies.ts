import { z } from "zod";
import { formatVersion, makeNullable, share } from "../http/reply-parts.ts";

const sideLobe = z.looseObject({}).nullable();

const cut = z.object({
  halfPowerWidthDeg: z.number().describe("Half-power beam width, degrees; 360: the level never falls so far"),
  firstSideLobe: sideLobe.describe("The higher of the two lobes next to the main lobe; null: none"),
  worstSideLobe: sideLobe.describe("The highest side lobe; null: none"),
  meanOutsideLobeDbi: makeNullable(
    z.number().describe("Mean gain outside the main lobe, dBi"),
    "the main lobe fills the circle",
  ),
});

const port = z.object({
  peakGainDbi: z.number().describe("Gain at the peak, dBi"),
  peakAzimuthDeg: z.number().describe("Azimuth of the peak off boresight, degrees"),
  peakElevationDeg: z.number().describe("Elevation of the peak, degrees"),
  azimuth: cut.describe("Horizontal cut through the peak"),
  elevation: cut.describe("Vertical cut through the peak"),
  frontToBackDb: z.number().describe("Front-to-back ratio, the worst within 30 degrees of straight behind, dB"),
  straightBehindDb: z.number().describe("Level straight behind, dB below the peak"),
  crossPolarDb: makeNullable(
    z.number().describe("Least cross-polar discrimination in the half-power beam, dB"),
    "not known",
  ),
  sphereMean: z.number().describe("Mean of the gain over the sphere, as a ratio; 1 for an antenna without loss"),
  window: z
    .object({
      azimuthWidthDeg: z.number().describe("Width in azimuth, centred on the peak, degrees"),
      elevationFromDeg: z.number().describe("Lowest elevation, degrees"),
      elevationToDeg: z.number().describe("Highest elevation, degrees"),
    })
    .describe("Directions where service is wanted"),
  efficiency: z
    .object({
      mainLobe: share("of the radiated power inside the main lobe"),
      cone: share("inside the cone of 2.5 half-power widths"),
      window: share("inside the service window"),
    })
    .nullable()
    .describe("Beam efficiency; null: the pattern does not balance, see efficiencyRefusal"),
  efficiencyRefusal: z.string().nullable().describe("Reason why no efficiency is stated; null: it is stated"),
});

/** The reply of POST /v1/antennas/parameters. */
export const antennaReportSchema = z
  .object({
    version: formatVersion,
    antennas: z
      .array(
        z.object({
          name: z.string().describe("Id of the antenna in the request"),
          warnings: z
            .array(
              z.object({
                code: z.string().describe("Stable name of the warning"),
                line: z.int().describe("Line of the pattern file, from 1"),
                detail: z.string().describe("The warning in words"),
              }),
            )
            .describe("What the pattern file says of itself that does not fit"),
          atFrequency: z
            .array(
              z.object({
                frequencyGhz: z.number().describe("Frequency, GHz"),
                ports: z
                  .tuple([port, port])
                  .describe("Both ports: horizontal or +45 degrees, then vertical or -45 degrees"),
              }),
            )
            .describe("Parameters at each frequency"),
          losses: z
            .object({
              frequencyGhz: z.number().describe("Frequency, GHz"),
              rows: z
                .array(
                  z.object({
                    counted: z.string().describe("Loss that is counted: `aperture` none, `all` every one"),
                    gainDbi: z.number().describe("Gain with this loss, dBi"),
                    mainLobe: share("of the radiated power inside the main lobe"),
                    mainLobeOfFed: share("of the power fed to the antenna inside the main lobe"),
                  }),
                )
                .describe("One row for each loss"),
            })
            .nullable()
            .describe("What each loss costs; null: the antenna is not computed from dimensions"),
        }),
      )
      .describe("The antenna, and the one beside it"),
    svg: z.string().describe("Both cuts and a table of the parameters as an SVG picture"),
  })
  .meta({ id: "AntennaReport" });
