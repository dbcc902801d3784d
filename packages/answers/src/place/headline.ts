import type { PlanSpec } from "@fellmark/network";
import { formatHeight, formatPercent } from "./format-figures.ts";
import type { Likelihood, PlanOfferAt, Verdict } from "./verdict.ts";

/** Verdict, and the case that it is about, as a headline names them. */
export interface HeadlineFacts {
  verdict: Verdict;
  likelihood: Likelihood | null;
  considered: PlanOfferAt;
  plan: PlanSpec;
  /** Height asked for, m above ground, and the chance of the same plan there. */
  heightAglM: number;
  probabilityThere: number;
}

/** Example: "serviceable with a 10 m mount: hearth-25 (25/5 Mbit/s), 95 % chance. At 6 m: 8 %". */
export function writeHeadline(facts: HeadlineFacts): string {
  const { considered, heightAglM, probabilityThere } = facts;
  const headline = `${writeVerdict(facts)}: ${writeOffer(facts)}`;
  if (considered.heightAglM === heightAglM) return headline;
  return `${headline}. At ${formatHeight(heightAglM)}: ${formatPercent(probabilityThere)}`;
}

/** A verdict in words, with the height that it is about. */
export function writeVerdict({
  verdict,
  likelihood,
  considered,
}: Pick<HeadlineFacts, "verdict" | "likelihood" | "considered">): string {
  const height = formatHeight(considered.heightAglM);
  switch (verdict) {
    case "serviceable":
      return `serviceable at ${height}`;
    case "serviceable-at-height":
      return `serviceable with a ${height} mount`;
    case "survey-first":
      return `survey first, service ${likelihood} at ${height}`;
    case "not-serviceable":
      return `not serviceable at ${height}`;
    case "not-known":
      return "not known";
  }
}

/** A plan with its speeds and its chance. */
export function writeOffer({ considered, plan }: Pick<HeadlineFacts, "considered" | "plan">): string {
  return `${plan.id} (${plan.downMbps}/${plan.upMbps} Mbit/s), ${formatPercent(considered.probability)} chance`;
}
