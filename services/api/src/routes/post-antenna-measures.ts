import { antennaReport } from "@fellmark/antenna";
import { type AntennaSpec, descriptionOf, parseAntennaMeasures } from "@fellmark/network";
import type { RequestHandler } from "express";
import { parseJsonBody } from "../json-body.ts";

/** Measures one antenna, or two side by side, and draws their cuts. Keeps nothing. */
export function postAntennaMeasures(): RequestHandler {
  return (req, res) => {
    const { antenna, against, frequencyGhz, window } = parseAntennaMeasures(parseJsonBody(req.body));
    const named = [namedAntenna(antenna, "/antenna"), ...(against ? [namedAntenna(against, "/against")] : [])];
    res.json({ version: 1, ...antennaReport(named, [frequencyGhz], window) });
  };
}

function namedAntenna(antenna: AntennaSpec, pointer: string) {
  return { name: antenna.id, description: descriptionOf(antenna), pointer };
}
