import type { CheckedParts, Finding } from "./finding.ts";

/**
 * Greatest rate of a channel per MHz with two streams, Mbit/s: 286.8 in 20 MHz.
 * Source: IEEE Std 802.11ax-2021, 27.5, HE-MCS 11, 2 streams, 242-tone RU, guard interval 0.8 us.
 */
const MAX_MBPS_PER_MHZ = 14.34;

/** Speeds in the wrong order or unit, and plans that repeat one another. */
export function findPlanSlips({ plans, sectors }: CheckedParts): Finding[] {
  const widthMhz = Math.max(...sectors.map(({ channel }) => channel.widthMhz));
  return plans.flatMap((plan, index) => [
    ...findSwappedSpeeds(plan, index),
    ...findTooFast(plan, index, widthMhz),
    ...findRepeated(plans, index),
  ]);
}

type Plan = CheckedParts["plans"][number];

function findSwappedSpeeds({ id, downMbps, upMbps }: Plan, index: number): Finding[] {
  if (upMbps <= downMbps) return [];
  return [
    {
      code: "plan_speeds_swapped",
      pointer: `/plans/${index}`,
      row: id,
      detail: `plan ${id} is faster up, ${upMbps} Mbit/s, than down, ${downMbps} Mbit/s`,
      likelyCause: "down and up are swapped",
      suggestion: `if so, state downMbps ${upMbps}, upMbps ${downMbps}`,
      severity: "warning",
    },
  ];
}

function findTooFast({ id, downMbps }: Plan, index: number, widthMhz: number): Finding[] {
  const limitMbps = MAX_MBPS_PER_MHZ * widthMhz;
  if (downMbps <= limitMbps) return [];
  return [
    {
      code: "plan_above_channel",
      pointer: `/plans/${index}/downMbps`,
      row: id,
      detail: `plan ${id} sells ${downMbps} Mbit/s; the widest channel, ${widthMhz} MHz, has ${limitMbps.toFixed(0)} Mbit/s at most`,
      likelyCause: "the speed is in kbit/s, or the channel is too narrow for the plan",
      suggestion: `if it is in kbit/s, state ${downMbps / 1000}; no place can have the plan as it is`,
      severity: "warning",
    },
  ];
}

function findRepeated(plans: readonly Plan[], index: number): Finding[] {
  const { id, downMbps, upMbps } = plans[index];
  const first = plans.slice(0, index).find((plan) => plan.downMbps === downMbps && plan.upMbps === upMbps);
  if (!first) return [];
  return [
    {
      code: "plans_alike",
      pointer: `/plans/${index}`,
      row: id,
      detail: `plans ${first.id} and ${id} both have ${downMbps}/${upMbps} Mbit/s`,
      likelyCause: "a row was copied and its speeds not changed",
      suggestion: "state other speeds, or remove one of them",
      severity: "warning",
    },
  ];
}
