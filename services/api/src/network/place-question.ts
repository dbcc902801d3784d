import { type AnsweringSource, chooseOpenedRadiusM } from "@fellmark/compute";
import type { Request, Response } from "express";
import type { PlaceQuestion } from "../children/place-questions.ts";
import { toAsker } from "../http/asker.ts";

/** The question of a request: given up when the caller leaves before the reply. */
export function buildQuestion(req: Request, res: Response, source: AnsweringSource): PlaceQuestion {
  return { ...toAsker({ req, res }), network: nameSource(source) };
}

/** The question of the service itself, for whoever asks next. */
export function ownQuestionOf(source: AnsweringSource): PlaceQuestion {
  return { caller: "service", signal: new AbortController().signal, network: nameSource(source) };
}

/** One name for each way in which a network is opened: its version, opened radius and CPE. */
function nameSource(source: AnsweringSource): string {
  if (!("network" in source)) return "request";
  const { network, radiusM, cpe = "" } = source;
  return [network.version, chooseOpenedRadiusM(radiusM), cpe].join(" ");
}
