import { InputError } from "@fellmark/units";
import type { AntennaSpec } from "./antenna-schema.ts";
import { toCanonicalJson } from "./canonical.ts";
import type { CoverageRequest } from "./coverage-request.ts";

export function createFault(pointer: string, detail: string): InputError {
  return new InputError([{ pointer, detail }]);
}

/** Throws InputError at the pointer where there is none of that id. */
export function findAntenna(request: CoverageRequest, id: string, pointer: string): AntennaSpec {
  const antenna = request.antennas.find((candidate) => candidate.id === id);
  if (!antenna) throw createFault(pointer, `there is no antenna "${id}" at this point of the changes`);
  return antenna;
}

/** A request with an antenna in it that a change names or brings along. */
export interface WithAntenna {
  request: CoverageRequest;
  id: string;
}

/** Puts the antenna that a change brings along among the others. Throws InputError where there is none of that id. */
export function takeAntenna(request: CoverageRequest, antenna: AntennaSpec | string, pointer: string): WithAntenna {
  if (typeof antenna === "string") return { request, id: findAntenna(request, antenna, pointer).id };
  return { request: addAntenna(request, antenna, pointer), id: antenna.id };
}

/** The request with one more antenna; the same one again is no fault, another of the same id is. */
function addAntenna(request: CoverageRequest, antenna: AntennaSpec, pointer: string): CoverageRequest {
  const known = request.antennas.find(({ id }) => id === antenna.id);
  if (!known) return { ...request, antennas: [...request.antennas, antenna] };
  if (toCanonicalJson(known) === toCanonicalJson(antenna)) return request;
  throw createFault(`${pointer}/id`, `there is another antenna "${antenna.id}" already`);
}
