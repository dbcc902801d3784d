import { z } from "zod";

/** The replies of /health/live and /health/ready. */
export const liveSchema = z.object({ status: z.literal("live").describe("The process runs") });
export const readySchema = z.object({ status: z.literal("ready").describe("Ledger, queue and terrain answer") });
