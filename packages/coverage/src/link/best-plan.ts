import type { PlanSpec } from "@fellmark/network";

/** Number (from 1) of the first plan whose speeds both hold, or 0. Speeds are net Mbit/s. */
export function findBestPlan(plans: readonly PlanSpec[], downMbps: number, upMbps: number): number {
  return plans.findIndex((plan) => downMbps >= plan.downMbps && upMbps >= plan.upMbps) + 1;
}
