import { z } from "zod";
import { id } from "./field-schemas.ts";

export const planSchema = z.strictObject({
  id,
  downMbps: z.number().positive().max(10_000).describe("Downstream speed sold, Mbit/s"),
  upMbps: z.number().positive().max(10_000).describe("Upstream speed sold, Mbit/s"),
  oversubscription: z
    .number()
    .min(1)
    .max(100)
    .default(8)
    .describe("Speed sold for each Mbit/s that a subscriber asks for in the busy hour. Common practice, no source"),
  busyHour: z
    .strictObject({
      downMbps: z.number().positive().max(10_000).describe("Downstream, Mbit/s"),
      upMbps: z.number().positive().max(10_000).describe("Upstream, Mbit/s"),
    })
    .optional()
    .describe("Mean demand of one subscriber in the busy hour as measured; takes the place of oversubscription"),
});

export const growthPerMonth = z.number().min(0).max(1);

/** Limits of the load of sectors, and the growth of traffic. */
export const trafficSchema = z.strictObject({
  greatestUtilisation: z
    .number()
    .min(0.1)
    .max(1)
    .default(0.8)
    .describe("Busy-hour demand over capacity at which a sector is full. Common practice, no source"),
  growthPerMonth: growthPerMonth
    .default(0)
    .describe("Growth of the subscribers of every sector a month, as a share: 0.02 for 2 %"),
});

export type TrafficSpec = z.output<typeof trafficSchema>;

/** Traffic as it holds for one sector, whose own growth comes before that of all. */
export function findSectorTraffic(
  { traffic }: { traffic: TrafficSpec },
  { growthPerMonth: own = traffic.growthPerMonth }: { growthPerMonth?: number | undefined },
): TrafficSpec {
  return { ...traffic, growthPerMonth: own };
}
