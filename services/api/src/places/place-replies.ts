import { calibrationSchema, measuredRowSchema } from "@fellmark/network";
import { z } from "zod";
import { caution, formatVersion, warnings } from "../http/reply-parts.ts";

/** Replies about single places, as programs read them. Distances in m, levels in dBm per chain, speeds after overhead. */

const number = (what: string) => z.number().describe(what);
const numberOrNull = (what: string, nullMeans: string) => z.number().nullable().describe(`${what}; null: ${nullMeans}`);
const text = (what: string) => z.string().describe(what);
const textOrNull = (what: string, nullMeans: string) => z.string().nullable().describe(`${what}; null: ${nullMeans}`);

const point = z.tuple([z.number(), z.number()]).describe("[longitude, latitude] in degrees");
const mountHeightAglM = number("Height of the mount above ground, m");
const leastHeightAglM = numberOrNull(
  "Least height of the mount that is worth it, m above ground",
  "the height asked for is enough, or none up to the limit is",
);
const likelihood = z
  .enum(["likely", "unlikely"])
  .nullable()
  .describe(
    "Expected outcome of the survey: `likely`: the chance of service is 50 % or more; `unlikely`: it is below; " +
      "null: the verdict asks for no survey",
  );
const probability = numberOrNull("Probability of the case considered, 0 to 1", "no plan is considered");

const VERDICTS = ["serviceable", "serviceable-at-height", "survey-first", "not-serviceable", "not-known"] as const;
const verdict = z
  .enum(VERDICTS)
  .describe(
    "`serviceable`: the plan is met at this height; `serviceable-at-height`: it is met with a higher mount; " +
      "`survey-first`: it may be met, look at the place first; `not-serviceable`: it is not met at any height; " +
      "`not-known`: elevation or address is missing",
  );
const sight = z
  .enum(["clear", "grazing", "blocked"])
  .describe(
    "`clear`: line of sight with 60 % of the first Fresnel zone; `grazing`: line of sight, but the zone is obstructed; " +
      "`blocked`: no line of sight",
  );

const obstacle = z.object({
  distanceM: number("Distance from the mast, m"),
  heightAmslM: number("Height above sea level, m"),
  excessM: number("Height above the line of sight, m; negative: below it"),
});
const budgetTerms = (direction: string) =>
  z
    .array(z.object({ term: text("Name of the term"), db: number("Signed contribution, dB, or a level in dBm") }))
    .describe(`Link budget ${direction}, in its order`);
const clutterHere = z.object({
  kind: text("Kind of clutter"),
  heightM: number("Its height, m"),
  isMeasured: z.boolean().describe("True: a raster of heights tells it, not only a class of land cover"),
});
const season = z.object({ plan: textOrNull("Id of the best plan", "none"), probability: number("Its probability") });

const inputs = z
  .object({
    model: text("Version of the propagation model"),
    terrain: textOrNull("Version of the terrain's content", "surveyed profile"),
    calibration: textOrNull("Version of the calibration", "none is applied").optional(),
    network: textOrNull("Version of the network", "a request was sent"),
  })
  .describe("Versions that the reply rests on");

const place = z
  .object({
    at: z
      .object({ lon: number("Longitude in degrees, WGS84"), lat: number("Latitude in degrees, WGS84") })
      .describe("Point that was used"),
    locationAccuracyM: number("Location accuracy: radius of the circle in which the house lies, m; 0: exact"),
    premises: textOrNull("Id of the premises", "a bare point was given"),
    address: textOrNull("Postal address of the premises", "a bare point was given"),
    typos: z.int().describe("Words of the address that fit only with a typing error"),
  })
  .describe("Place that was found");

/** The reply where an address is not clear: none has it, or several have. */
const unclear = {
  version: formatVersion,
  place: z.null().describe("Always null: the place is not known"),
  reason: text("Reason why it is not known"),
  matches: z
    .array(
      z.object({ premises: text("Id of the premises"), address: text("Postal address"), at: point.describe("Point") }),
    )
    .describe("Premises that fit equally well"),
};

const brief = {
  sector: text("Id of the sector"),
  distanceM: number("Distance to the mast, m"),
  azimuthDeg: numberOrNull("Azimuth from the place to the mast, degrees from true north", "the mast is at the place"),
  class: sight,
};
const speeds = {
  downMbps: number("Planned downstream rate, after fade and confidence margin, Mbit/s"),
  upMbps: number("Planned upstream rate, after fade and confidence margin, Mbit/s"),
  downNowMbps: number("Downstream rate now, without margins, Mbit/s"),
  upNowMbps: number("Upstream rate now, without margins, Mbit/s"),
};
const sinr = { sinrDownDb: number("Downstream SINR, dB"), sinrUpDb: number("Upstream SINR, dB") };
const levels = {
  downDbm: number("Level at the CPE, dBm per chain"),
  upDbm: number("Level at the sector, dBm per chain"),
};

const inTheWay = z.object({
  kind: z.enum(["ground", "building", "trees"]).describe("Kind of obstacle: `ground`, `building` or `trees`"),
  distanceM: number("Distance from the mast, m"),
  overLineM: number("Height of its top above the line of sight, m; below 0 under it"),
  overZoneM: number("Height of its top above the lower edge of 60 % of the first Fresnel zone, m"),
});

const offerAt = z.object({
  plan: text("Id of the plan"),
  heightAglM: number("Height of the mount, m above ground"),
  probability: number("Probability that the plan is met there, 0 to 1"),
  ...speeds,
});

const link = z.object({
  ...brief,
  ...speeds,
  elevationDeg: number("Elevation from the CPE to the sector's antenna, degrees above the horizon"),
  fresnelClearance: numberOrNull("Least clearance over the radius of the first Fresnel zone", "no profile"),
  blocking: obstacle.nullable().describe("The obstacle that rises highest above the line of sight; null: none"),
  obstacles: z.array(obstacle).describe("Obstacles in the line of sight or the Fresnel zone"),
  inTheWay: z
    .array(inTheWay)
    .describe(
      "Worst obstacle of each kind in the line of sight or 60 % of the first Fresnel zone, the worst kind first",
    ),
  canopyLengthM: number("Length of the ray in measured trees, m"),
  clutterLaws: z
    .array(
      z.object({
        part: z
          .enum(["mast", "path", "cpe"])
          .describe("Part of the link: `mast`: around the mast, `path`: on the way, `cpe`: around the CPE"),
        law: text("Short name of the law"),
        source: text("Document and section that state it"),
        isStated: z
          .boolean()
          .describe("True: the source states it for this frequency and clutter; false: extrapolated"),
      }),
    )
    .describe("Laws by which the link loses anything to clutter, by part; empty: nothing is lost"),
  isBelowClass: z
    .boolean()
    .describe("True: the line passes below the height of a land-cover class, which was not measured: survey first"),
  horizons: z
    .object({
      mastDistanceM: numberOrNull("Point that the mast sees highest, m from the mast", "none"),
      cpeDistanceM: numberOrNull("Point that the CPE sees highest, m from the mast", "none"),
    })
    .describe("Points of the path that each end sees highest"),
  notKnownShare: number("Share of the path without elevation, 0 to 1"),
  ...sinr,
  ports: z
    .array(z.object(sinr))
    .describe("SINR by port (polarisation) of the CPE; one entry: both are alike. One stream goes by the better port"),
  expected: z.object(levels).describe("Levels to expect at a survey, without margins"),
  down: budgetTerms("downstream"),
  up: budgetTerms("upstream"),
});

const planOffer = z.object({
  plan: text("Id of the plan"),
  downMbps: number("Downstream speed of the plan, Mbit/s"),
  upMbps: number("Upstream speed of the plan, Mbit/s"),
  probability: numberOrNull("Probability that the plan is met at the height asked for, 0 to 1", "not known"),
  leastHeightAglM: numberOrNull("Least height from which the plan is met, m above ground", "none up to the limit"),
  lacks: z
    .enum(["down", "up", "both"])
    .nullable()
    .describe("Direction that misses the plan's speed: `down`, `up` or `both`; null: none"),
  fits: z.boolean().nullable().describe("True: the sector has room for one more; null: its load is not known"),
});

const mount = z.object({
  sector: text("Id of the sector to point at"),
  heightAglM: mountHeightAglM,
  azimuthDeg: numberOrNull("Azimuth to point at, degrees from true north", "the mast is at the place"),
  magnetic: z
    .object({
      azimuthDeg: number("Azimuth to point at, degrees from magnetic north"),
      declinationDeg: number("Declination on the day of the answer, degrees; positive where magnetic north lies east"),
      model: text("Magnetic model"),
      validTo: z.iso.date().describe("Last day of the model"),
    })
    .nullable()
    .describe("Aim by a compass, away from steel; null: no magnetic model holds on the day of the answer"),
  elevationDeg: number("Elevation to point at, degrees above the horizon"),
  ...levels,
  ...sinr,
  ...speeds,
});

const load = z.object({
  subscribers: z.int().describe("Subscribers of the sector"),
  cutOff: z.int().describe("Subscribers without a predicted rate: not in the figures"),
  utilisation: numberOrNull("Busy-hour demand over capacity", "no subscribers are known"),
  limit: number("Utilisation up to which a plan may be sold"),
  monthsToFull: numberOrNull("Months until the sector is full by the growth stated", "the growth does not fill it"),
  plans: z
    .array(
      z.object({
        plan: text("Id of the plan"),
        utilisation: numberOrNull("Utilisation with one more subscriber of it", "not known"),
        fits: z.boolean().describe("True: one more fits"),
      }),
    )
    .describe("Room for one more subscriber, by plan"),
});

const end = z.object({ label: text("Name in the picture"), heightAglM: number("Height above ground, m") });
const profile = z.object({
  title: text("Title of the picture"),
  subtitle: text("Second line of the title"),
  caution,
  frequencyGhz: number("Frequency, GHz"),
  effectiveEarthRadiusM: number("Effective Earth radius, m"),
  distanceM: z.array(z.number()).describe("Distances of the points from the mast, m"),
  groundAmslM: z.array(z.number().nullable()).describe("Ground above sea level at each point, m; null: not known"),
  clutterHeightM: z
    .array(z.number().nullable())
    .nullable()
    .describe("Height of clutter at each point, m; null: not known"),
  mast: end.describe("The sector's end"),
  cpe: end.describe("The subscriber's end (CPE)"),
  sight: text("Sentences on the line of sight and what is in its way"),
  blocking: z.array(obstacle).describe("Obstacles above the line of sight"),
});

const serviceability = z.object({
  version: formatVersion,
  place,
  at: point.nullable().describe("Point of the answer, [longitude, latitude] in degrees; null: surveyed profile"),
  asOf: z.iso.date().describe("Day of the answer"),
  verdict,
  likelihood,
  heightAglM: mountHeightAglM.describe("Height of the mount that was asked for, m above ground"),
  leastHeightAglM,
  probability,
  plan: textOrNull("Id of the best plan that is met both ways at the height asked for: the class of the map", "none"),
  considered: offerAt
    .nullable()
    .describe(
      "Plan and height that verdict, probability, headline, reason and picture are about: the offer that is made, else " +
        "the plan asked for or the cheapest where its chance is best; null: no sector is in range or nothing is known",
    ),
  headline: text("Verdict and case in one line"),
  offer: textOrNull("Id of the plan to promise at the mount", "none"),
  reason: text("The verdict in words"),
  plans: z.array(planOffer).describe("Every plan"),
  offers: z.array(offerAt).describe("Plans that hold at some height, the best first, each at its least height"),
  mount: mount.nullable().describe("Where to mount and point the CPE; null: nothing can be offered"),
  links: z.array(link).describe("The best sector and two alternates, in full"),
  others: z
    .array(z.object({ ...brief, ...speeds, downDbm: levels.downDbm }))
    .describe("Other sectors in range, in brief"),
  locationAccuracy: z
    .object({
      radiusM: number("Radius of the circle in which the house lies, m"),
      verdicts: z.partialRecord(z.enum(VERDICTS), z.number()).describe("Share of the circle by verdict"),
      agrees: z.boolean().describe("True: the verdict is the same over the whole circle"),
      best: z
        .object({ at: point.describe("The point"), verdict, probability })
        .describe("The best point of the circle"),
    })
    .describe("Location accuracy: how the verdict varies over the circle in which the house lies"),
  load: load.nullable().describe("Load of the best sector; null: not known"),
  foliage: z
    .object({ leafOn: season.describe("Leaf-on"), leafOff: season.describe("Leaf-off") })
    .nullable()
    .describe("Best plan with leaves on and off the trees; null: no trees matter"),
  expires: z
    .object({
      on: z.iso.date().describe("Day on which it expires"),
      because: z.enum(["trees", "age"]).describe("`trees`: they grow into the path; `age`: data grow old"),
    })
    .nullable()
    .describe("Day until which the answer holds; null: no verdict to hold"),
  clutter: z
    .object({
      known: z.boolean().describe("True: clutter data cover the place"),
      mast: z.array(clutterHere).describe("Clutter around the masts"),
      cpe: clutterHere.nullable().describe("Clutter around the CPE; null: none or not known"),
    })
    .describe("Clutter at both ends"),
  profile: profile.optional().describe("Terrain profile to the best sector, where it was asked for"),
  warnings,
  inputs,
  caution,
});

const install = z.object({
  version: formatVersion,
  place,
  at: point.describe("Point of the answer, [longitude, latitude] in degrees"),
  sector: text("Id of the sector"),
  heightAglM: mountHeightAglM,
  result: z
    .enum(["pass", "fail", "not-known"])
    .describe("`pass`: within the acceptance; `fail`: below it; `not-known`: nothing to compare with"),
  acceptanceDb: number("Greatest shortfall that passes, dB"),
  expected: z
    .object({
      signalDbm: number("Level at the CPE, dBm per chain"),
      sinrDb: number("Downstream SINR, dB"),
      azimuthDeg: numberOrNull("Azimuth to the mast, degrees from true north", "the mast is at the place"),
      elevationDeg: number("Elevation to the sector's antenna, degrees above the horizon"),
    })
    .nullable()
    .describe("What the model expects; null: not known"),
  residualDb: numberOrNull("Measured minus expected level, dB", "nothing is expected"),
  sinrResidualDb: numberOrNull("Measured minus expected SINR, dB", "it was not measured or nothing is expected"),
  causes: z
    .array(
      z.object({
        cause: text("Stable name of the cause"),
        supported: z.boolean().describe("True: the figures support it"),
        unexplainedDb: number("Part of the residual that it leaves, dB"),
        evidence: text("What speaks for it, in words"),
      }),
    )
    .describe("Possible causes, the likeliest first"),
  reason: text("The result in words"),
  link: measuredRowSchema.nullable().describe("The measured link as POST /v1/calibrations takes it; null: not usable"),
  inputs,
  caution,
});

export const serviceabilityReplySchema = z.union([
  serviceability,
  z.object({ ...unclear, verdict: z.literal("not-known").describe("Always not-known") }),
]);

export const installReplySchema = z.union([
  install,
  z.object({ ...unclear, result: z.literal("not-known").describe("Always not-known") }),
]);

export const calibrationReplySchema = z.object({
  version: formatVersion,
  calibration: calibrationSchema.describe("The calibration: put it into `model.calibration` of the network to use it"),
  links: z.int().describe("Links that it was fitted to"),
  rejected: z
    .array(
      z.object({
        row: z.int().describe("Number of the row, from 0"),
        id: text("Name of the row"),
        field: text("Field at fault"),
        reason: text("Reason why the row is not used"),
      }),
    )
    .describe("Rows that are not used"),
  inputs,
  caution,
});

export type ServiceabilityReply = z.input<typeof serviceabilityReplySchema>;
export type InstallReply = z.input<typeof installReplySchema>;
export type CalibrationReply = z.input<typeof calibrationReplySchema>;
