import { z } from "zod";
import { describeChoice, describeDb, id } from "./field-schemas.ts";

/** Channel widths, MHz; which of them a radio has depends on its table. */
export const channelWidthMhz = z
  .literal([5, 10, 20, 30, 40, 60, 80, 160])
  .describe("Channel width, MHz; the table of the radio must have it");

const ownTableSchema = z.strictObject({
  widthMhz: channelWidthMhz,
  streams: z.int().min(1).max(2).default(1).describe("Spatial streams for which the rates are stated"),
  symbolsPerUs: z
    .number()
    .positive()
    .max(1000)
    .optional()
    .describe("Symbols in a microsecond, for steps with bitsPerSymbol"),
  steps: z
    .array(
      z.strictObject({
        sinrDb: describeDb(-30, 60).optional().describe("Least ratio of signal to noise + interference, dB"),
        sensitivityDbm: describeDb(-130, 0).optional().describe("Least level per chain, dBm, instead of sinrDb"),
        rateMbps: z
          .number()
          .positive()
          .max(100_000)
          .optional()
          .describe("Physical rate of both directions together, Mbit/s"),
        bitsPerSymbol: z
          .number()
          .positive()
          .max(16)
          .optional()
          .describe("Coded bits of a symbol and stream, instead of rateMbps"),
      }),
    )
    .min(1)
    .max(64)
    .describe("Steps from the slowest to the fastest"),
});

export const radioSchema = z.strictObject({
  id,
  table: describeChoice("Standard whose modulations, sensitivities and rates apply", {
    "802.11ac": "modulations up to 256-QAM 5/6",
    "802.11ax": "modulations up to 1024-QAM 5/6",
    "lte-64qam": "3GPP TS 36.213, table 7.2.3-1; thresholds by TR 36.942, annex A",
    "lte-256qam": "3GPP TS 36.213, table 7.2.3-2; thresholds by TR 36.942, annex A",
    "nr-64qam": "3GPP TS 38.214, table 5.1.3.1-1, carriers 30 kHz apart; thresholds by TR 36.942, annex A",
    "nr-256qam": "3GPP TS 38.214, table 5.1.3.1-2, carriers 30 kHz apart; thresholds by TR 36.942, annex A",
    own: "the steps of `ownTables` or `ownTablesCsv`",
  }),
  ownTables: z
    .array(ownTableSchema)
    .min(1)
    .max(16)
    .optional()
    .describe("Steps of the radio by channel width, for table `own`; levels and rates rise from step to step"),
  ownTablesCsv: z
    .string()
    .min(1)
    .max(100_000)
    .optional()
    .describe(
      "The same as CSV: a header with widthMhz, sinrDb or sensitivityDbm, rateMbps or bitsPerSymbol, streams, symbolsPerUs",
    ),
  guardIntervalUs: z
    .literal([0.4, 0.8, 1.6, 3.2])
    .optional()
    .describe("Guard interval of a symbol, us: 0.4 or 0.8 for 802.11ac, 0.8, 1.6 or 3.2 for 802.11ax; if absent, 0.8"),
  streams: z.int().min(1).max(2).default(2).describe("Spatial streams, at most one per polarisation"),
  noiseFigureDb: describeDb(0, 20).default(6).describe("Noise figure of the receiver, dB"),
  downShare: z.number().min(0.05).max(0.95).default(0.75).describe("Share of the frame that is sent downstream"),
  macEfficiency: z
    .number()
    .min(0.1)
    .max(1)
    .default(0.75)
    .describe("Share of the physical rate that is left for user data"),
  implementationDb: describeDb(0, 10)
    .default(2)
    .describe(
      "Loss of a real receiver against the signal-to-noise ratio that each modulation of 802.11 needs, dB; the levels of other tables include it",
    ),
  frameMs: z
    .number()
    .min(0.5)
    .max(100)
    .default(5)
    .describe("Length of a frame, ms; equal for all sectors of a timing group"),
  guardUs: z
    .number()
    .min(0)
    .max(5000)
    .default(100)
    .describe("Guard time between the halves of a frame, us; equal for all sectors of a timing group"),
  acirDb: z
    .strictObject({
      leakageDb: describeDb(0, 100).describe("Attenuation of what the transmitter sends into the adjacent channel, dB"),
      selectivityDb: describeDb(0, 100).describe("Rejection of the adjacent channel by the receiver, dB"),
    })
    .optional()
    .describe("Adjacent-channel figures; if absent, those of the standard"),
  powerByRate: z
    .array(
      z.strictObject({
        index: z.int().min(0).max(63).describe("Index of the modulation or step, 0 is the most robust"),
        powerDbm: describeDb(-20, 40).describe("Greatest total power at this modulation, dBm"),
      }),
    )
    .max(64)
    .optional()
    .describe("Greatest power at single modulations; if absent, the power of the sector or CPE holds for all"),
});
