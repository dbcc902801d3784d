import type { RateThresholds } from "@fellmark/radio";
import { toRatio } from "@fellmark/units";
import type { RateSteps } from "./advice-problem.ts";

/** Thresholds in dB as linear steps. */
export function rateSteps({ sinrDb, netMbps }: RateThresholds): RateSteps {
  return { sinr: sinrDb.map(toRatio), netMbps };
}

/** Net rate at a SINR, by the table: 0 below the first threshold. */
export function lookUpRate({ sinr: steps, netMbps }: RateSteps, sinr: number): number {
  let rate = 0;
  for (let index = 0; index < steps.length && sinr >= steps[index]; index++) rate = netMbps[index];
  return rate;
}

/**
 * The same without steps, so that of two channels the cleaner one is preferred where both allow one rate: straight in
 * dB between the thresholds; below the first it falls with the SINR, beyond the last it stays.
 */
export function gradeRate({ sinr: steps, netMbps }: RateSteps, sinr: number): number {
  const last = steps.length - 1;
  if (sinr >= steps[last]) return netMbps[last];
  if (sinr <= steps[0]) return (netMbps[0] * sinr) / steps[0];
  let index = 0;
  while (sinr >= steps[index + 1]) index++;
  const share = Math.log(sinr / steps[index]) / Math.log(steps[index + 1] / steps[index]);
  return netMbps[index] + share * (netMbps[index + 1] - netMbps[index]);
}
