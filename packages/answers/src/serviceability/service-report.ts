import type { LonLat } from "@fellmark/geodesy";
import type { Answer, PlaceQuestion } from "../place/answer.ts";
import type { AnswerLink } from "../place/answer-link.ts";
import type { Expiry } from "./expiry.ts";
import type { LocationReport } from "./location-accuracy.ts";
import type { Mount } from "./mount.ts";
import type { SectorLoad } from "./sector-load.ts";

/** A question about a place. */
export interface ServiceQuestion extends Pick<PlaceQuestion, "heightAglM" | "plan" | "withProfile"> {
  at: LonLat;
  /** Radius of the circle within which the house lies; 0: the point is exact. */
  locationAccuracyM: number;
  /** The day of the answer, YYYY-MM-DD. */
  asOf: string;
}

/** A plan at a place. */
export interface PlanOffer {
  plan: string;
  downMbps: number;
  upMbps: number;
  /** At the height asked for. */
  probability: number | null;
  leastHeightAglM: number | null;
  /** Direction of the best link, at the mount, that is too slow for it; null where both are fast enough. */
  lacks: "down" | "up" | "both" | null;
  /** True where the best sector has room for it; null where its subscribers are not known. */
  fits: boolean | null;
}

/** A link with the level that an installer should read at either end, per chain. */
export interface ServiceLink extends AnswerLink {
  expected: { downDbm: number; upDbm: number };
}

/** Brief report of a sector that is neither the best nor an alternate. */
export type BriefLink = Pick<
  AnswerLink,
  "sector" | "distanceM" | "azimuthDeg" | "class" | "downMbps" | "upMbps" | "downNowMbps" | "upNowMbps"
> & {
  downDbm: number;
};

/** An answer with what can be sold there, and for how long it holds. */
export interface Serviceability extends Omit<Answer, "links" | "plans"> {
  asOf: string;
  /** The plan to promise at the mount: the best that holds both ways and that the sector has room for. */
  offer: string | null;
  plans: PlanOffer[];
  /** The best sector and two alternates. */
  links: ServiceLink[];
  others: BriefLink[];
  locationAccuracy: LocationReport;
  /** Of the best sector; null where no subscribers are known. */
  load: SectorLoad | null;
  /** At the height that the verdict is given for; null where there is nothing to mount. */
  mount: Mount | null;
  /** Null where there is nothing to rely on. */
  expires: Expiry | null;
}
