import { MAX_LATITUDE_DEG } from "@fellmark/geodesy";
import { z } from "zod";

/** Fields that many things of a network have. */
export const id = z
  .string()
  .regex(/^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$/, "1 to 64 letters, digits, dot, dash or underscore");
export const heightAglM = z.number().min(0.5).max(500);
export const place = {
  lon: z.number().min(-180).max(180),
  lat: z.number().min(-MAX_LATITUDE_DEG).max(MAX_LATITUDE_DEG),
};

export function db(min: number, max: number) {
  return z.number().min(min).max(max);
}

/** Name of a set of the terrain folder. */
export const setName = z.string().regex(/^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$/);
