import { type AntennaSpec, parseAntennaParameters, parseJsonBody, toDescription } from "@fellmark/network";
import type { RequestHandler } from "express";
import type { ApiContext } from "../context.ts";

/** The largest antennas that can be described take a second or two. */
const DEADLINE_MS = 30_000;

/** Measures one antenna, or two side by side, in the compute child, and draws their cuts. Keeps nothing. */
export function postAntennaParameters({ compute }: Pick<ApiContext, "compute">): RequestHandler {
  return async (req, res) => {
    const { antenna, against, frequencyGhz, window } = parseAntennaParameters(parseJsonBody(req.body));
    const antennas = [nameAntenna(antenna, "/antenna"), ...(against ? [nameAntenna(against, "/against")] : [])];
    const task = { antennas, frequenciesGhz: [frequencyGhz], ...(window && { window }) };
    res.json({ version: 1, ...(await compute.antennaReport(task, { deadlineMs: DEADLINE_MS })) });
  };
}

function nameAntenna(antenna: AntennaSpec, pointer: string) {
  return { name: antenna.id, description: toDescription(antenna), pointer };
}
