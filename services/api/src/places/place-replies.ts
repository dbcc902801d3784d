import { measuredRowSchema } from "@fellmark/network";
import { z } from "zod";

/** What the addresses of places answer, as programs read it. Distances in m, levels in dBm a chain, speeds net. */

const number = z.number();
const point = z.tuple([number, number]).meta({ description: "[longitude, latitude]" });
const heightAglM = number.nullable();
const warnings = z.array(z.object({ code: z.string(), pointer: z.string(), detail: z.string() }));
const verdict = z.enum(["serviceable", "serviceable-at-height", "survey-first", "not-serviceable", "not-known"]);
const sight = z.enum(["clear", "grazing", "blocked"]);
const blocking = z.object({ distanceM: number, heightAmslM: number, excessM: number });
const terms = z.array(z.object({ term: z.string(), db: number })).meta({ description: "In the order of the budget" });
const clutter = z.object({ kind: z.string(), heightM: number });
const season = z.object({ plan: z.string().nullable(), probability: number });

const inputs = z.object({
  model: z.string(),
  terrain: z.string().nullable(),
  calibration: z.string().nullable().optional(),
  network: z.string().nullable(),
});

const place = z.object({
  at: z.object({ lon: number, lat: number }),
  locationAccuracyM: number,
  premises: z.string().nullable(),
  address: z.string().nullable(),
  typos: number,
});

/** Where an address is not clear: none has it, or several have. */
const unclear = {
  version: z.literal(1),
  place: z.null(),
  reason: z.string(),
  matches: z.array(z.object({ premises: z.string(), address: z.string(), at: point })),
};

const brief = { sector: z.string(), distanceM: number, azimuthDeg: number.nullable(), class: sight };
const speeds = { downMbps: number, upMbps: number };

const link = z.object({
  ...brief,
  ...speeds,
  elevationDeg: number,
  fresnelClearance: number.nullable(),
  blocking: blocking.nullable(),
  obstacles: z.array(blocking),
  sinrDownDb: number,
  sinrUpDb: number,
  expected: z.object({ downDbm: number, upDbm: number }),
  down: terms,
  up: terms,
});

const planOffer = z.object({
  plan: z.string(),
  ...speeds,
  probability: number.nullable(),
  leastHeightAglM: heightAglM,
  lacks: z.enum(["down", "up", "both"]).nullable(),
  fits: z.boolean().nullable(),
});

const mount = z.object({
  sector: z.string(),
  heightAglM: number,
  azimuthDeg: number.nullable(),
  elevationDeg: number,
  ...{ downDbm: number, upDbm: number, sinrDownDb: number, sinrUpDb: number },
  ...speeds,
});

const load = z.object({
  subscribers: number,
  cutOff: number.meta({ description: "Subscribers whom the model gives no rate: not in the figures" }),
  utilisation: number.nullable(),
  limit: number,
  plans: z.array(z.object({ plan: z.string(), utilisation: number.nullable(), fits: z.boolean() })),
});

const end = z.object({ label: z.string(), heightAglM: number });
const heights = z.array(number.nullable());
const profile = z.object({
  ...{ title: z.string(), subtitle: z.string(), caution: z.string() },
  frequencyGhz: number,
  effectiveEarthRadiusM: number,
  distanceM: z.array(number),
  groundAmslM: heights,
  clutterHeightM: heights.nullable(),
  mast: end,
  cpe: end,
  blocking: z.array(blocking),
});

const serviceability = z.object({
  version: z.literal(1),
  place,
  at: point.nullable(),
  asOf: z.iso.date(),
  verdict,
  heightAglM: number,
  leastHeightAglM: heightAglM,
  probability: number.nullable(),
  plan: z.string().nullable().meta({ description: "The best that holds both ways at this height" }),
  offer: z.string().nullable().meta({ description: "The plan to promise at the mount" }),
  reason: z.string(),
  plans: z.array(planOffer),
  mount: mount.nullable(),
  links: z.array(link).meta({ description: "The best sector and two alternates" }),
  others: z.array(z.object({ ...brief, ...speeds, downDbm: number })),
  locationAccuracy: z.object({
    radiusM: number,
    verdicts: z.partialRecord(verdict, number),
    agrees: z.boolean(),
    best: z.object({ at: point, verdict, probability: number.nullable() }),
  }),
  load: load.nullable(),
  foliage: z.object({ leafOn: season, leafOff: season }).nullable(),
  expires: z.object({ on: z.iso.date(), because: z.enum(["trees", "age"]) }).nullable(),
  clutter: z.object({ known: z.boolean(), mast: z.array(clutter), cpe: clutter.nullable() }),
  profile: profile.optional().meta({ description: "Where it was asked for" }),
  warnings,
  inputs,
  caution: z.string(),
});

const install = z.object({
  version: z.literal(1),
  place,
  at: point,
  sector: z.string(),
  heightAglM: number,
  result: z.enum(["pass", "fail", "not-known"]),
  acceptanceDb: number,
  expected: z
    .object({ signalDbm: number, sinrDb: number, azimuthDeg: number.nullable(), elevationDeg: number })
    .nullable(),
  residualDb: number.nullable(),
  sinrResidualDb: number.nullable(),
  causes: z
    .array(z.object({ cause: z.string(), supported: z.boolean(), unexplainedDb: number, evidence: z.string() }))
    .meta({ description: "The likeliest first" }),
  reason: z.string(),
  link: measuredRowSchema.nullable().meta({ description: "As POST /v1/calibrations takes it" }),
  inputs,
  caution: z.string(),
});

export const serviceabilityReplySchema = z.union([
  serviceability,
  z.object({ ...unclear, verdict: z.literal("not-known") }),
]);

export const installReplySchema = z.union([install, z.object({ ...unclear, result: z.literal("not-known") })]);

export const calibrationReplySchema = z.object({
  version: z.literal(1),
  calibration: z.object({
    version: z.string(),
    validation: z.object({ applied: z.boolean(), reason: z.string() }),
  }),
  links: number,
  rejected: z.array(z.object({ row: number, id: z.string(), field: z.string(), reason: z.string() })),
  inputs,
  caution: z.string(),
});

export type ServiceabilityReply = z.input<typeof serviceabilityReplySchema>;
export type InstallReply = z.input<typeof installReplySchema>;
export type CalibrationReply = z.input<typeof calibrationReplySchema>;
