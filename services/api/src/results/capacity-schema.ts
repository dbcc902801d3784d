import { z } from "zod";
import { count, makeNullable } from "../http/reply-parts.ts";

/** Capacity of a sector over the places that it serves. */
export const sectorCapacity = z.object({
  places: count("places, or subscribers where the request has some"),
  cutOff: count("places without a rate in some direction; the capacity is that of the others"),
  downMbps: z.number().describe("Downstream capacity, Mbit/s"),
  upMbps: z.number().describe("Upstream capacity, Mbit/s"),
  demandDownMbps: z.number().describe("Downstream demand of the subscribers in the busy hour, Mbit/s"),
  demandUpMbps: z.number().describe("Upstream demand of the subscribers in the busy hour, Mbit/s"),
  utilisation: makeNullable(
    z.number().describe("Busy-hour demand over capacity, of the busier direction"),
    "no subscribers are known",
  ),
  contention: makeNullable(
    z.number().describe("Speeds sold over capacity, of the busier direction"),
    "no subscribers are known",
  ),
  room: z
    .array(
      z.object({
        plan: z.string().describe("Id of the plan"),
        subscribers: count("subscribers who still fit"),
      }),
    )
    .describe("Room for more subscribers, for each plan alone"),
  monthsToFull: makeNullable(z.number().describe("Months until the sector is full"), "the growth does not fill it"),
  years: z
    .array(
      z.object({
        year: z.int().describe("Years from now"),
        utilisation: z.number().describe("Utilisation after them; above 1 the demand is not met"),
      }),
    )
    .describe("Growth over the next years; empty where nothing grows or no subscribers are known"),
});
