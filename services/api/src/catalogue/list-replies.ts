import { z } from "zod";

const limitDbm = (what: string) => z.number().nullable().describe(`${what}, dBm; null: the rule has no such limit`);

const powerRule = z.object({
  id: z.string().describe("Name for `rule` of a sector or CPE"),
  title: z.string().describe("Region, band and use"),
  bandMhz: z
    .tuple([z.number(), z.number()])
    .readonly()
    .describe("Edges of the band, MHz; a channel must lie inside with its whole width"),
  conductedDbm: limitDbm("Conducted power, total over the chains"),
  conductedByWidthDbm: limitDbm("Conducted power for 1 MHz, to which 10 log10 of the width in MHz is added"),
  psdDbmPerMhz: limitDbm("Conducted power density, per MHz"),
  eirpDbm: limitDbm("EIRP"),
  psdEirpDbmPerMhz: limitDbm("EIRP density, per MHz"),
  gainFreeDbi: z
    .number()
    .nullable()
    .describe("Antenna gain less losses above which the conducted limits fall, dBi; null: they do not fall"),
  reductionPerDb: z.number().describe("Fall of the conducted limits for each dB of gain above that, dB"),
  elevationMask: z
    .looseObject({
      aboveDeg: z.number().describe("Elevation, degrees above the horizon"),
      eirpDbm: z.number().describe("Greatest EIRP above that elevation, dBm"),
    })
    .nullable()
    .describe("Limit toward the sky; null: none"),
  dfs: z.boolean().describe("True: a DFS band, in which radar may close a channel at any time"),
  source: z.string().describe("Text of the rule"),
  verified: z.boolean().describe("False: the text was not read; check your licence and local rules"),
});

/** The reply of GET /v1/rules. */
export const powerRulesSchema = z
  .object({ rules: z.array(powerRule).describe("Power rules") })
  .meta({ id: "PowerRules" });

/** The reply of GET /v1/antenna-kinds. */
export const antennaKindsSchema = z
  .object({
    kinds: z
      .array(
        z.object({
          kind: z.string().describe("Name for `kind` of an antenna"),
          description: z.string().describe("The antenna in a sentence"),
          fields: z
            .array(
              z.object({
                name: z.string().describe("Name of the field"),
                isRequired: z.boolean().describe("True: the field must be given"),
                description: z.string().describe("Meaning and unit"),
              }),
            )
            .describe("Fields besides id and kind"),
        }),
      )
      .describe("Kinds of antenna"),
  })
  .meta({ id: "AntennaKinds" });

/** The reply of GET /v1/cable-classes. */
export const cableClassesSchema = z
  .object({
    cables: z
      .array(
        z.object({
          id: z.string().describe("Name for `cable` of a feeder"),
          title: z.string().describe("Build and outer size"),
          lossPer100M: z
            .array(
              z.object({
                frequencyGhz: z.number().describe("Frequency, GHz"),
                lossDb: z.number().describe("Loss of 100 m, dB"),
              }),
            )
            .describe("Loss at common frequencies. Common practice, no source: check the data sheet"),
        }),
      )
      .describe("Classes of feeder cable"),
  })
  .meta({ id: "CableClasses" });

/** The reply of GET /v1/clutter-classes. */
export const clutterClassesSchema = z
  .object({
    classes: z
      .array(
        z.object({
          class: z.string().describe("Name for `class` of model.clutter"),
          description: z.string().describe("The class in a few words"),
          endHeightM: z.number().describe("Height for the loss at an end of the path, m (ITU-R P.2108-1, section 3.1)"),
          pathHeightM: z.number().describe("Height on the way of the path, m"),
        }),
      )
      .describe("Classes of clutter"),
  })
  .meta({ id: "ClutterClasses" });
