import type { networkSchema } from "@fellmark/network";
import type { z } from "zod";
import { requestExample } from "./request-example.ts";

const { area: _area, quality: _quality, cpe, ...shared } = requestExample;

/** The network of the example request, with two subscribers. */
export const networkExample: z.input<typeof networkSchema> = {
  ...shared,
  zoom: 12,
  cpes: [{ id: "standard", ...cpe }],
  subscribers: [
    { id: "u1", sector: "s1-n", lon: -76.7488, lat: 40.8, plan: "p100" },
    { id: "u2", sector: "s1-s", lon: -76.74, lat: 40.76, plan: "p25", cpe: "standard" },
  ],
};
