import type { Request, Response } from "express";
import type { Asker } from "../children/turns.ts";
import { nameCaller } from "./caller.ts";

/** A request and the reply to it. */
export interface Exchange {
  req: Request;
  res: Response;
}

/** The caller, who gives up by leaving before the reply. */
export function toAsker({ req, res }: Exchange): Asker {
  const left = new AbortController();
  res.once("close", () => left.abort());
  return { caller: nameCaller(req), signal: left.signal };
}
