import { checkAntenna } from "@fellmark/antenna";
import type { FieldProblem } from "@fellmark/units";
import { toDescription } from "./antenna-schema.ts";
import { listThrownProblems } from "./field-problems.ts";
import type { NetworkParts } from "./network-parts.ts";

/**
 * Antennas that their users' frequencies do not suit: a reference pattern outside its band, a mouth too narrow for the
 * wave, an envelope, which may not enter interference. One that nobody uses may be anything.
 */
export function listUnfitAntennas({ antennas, ...users }: NetworkParts): FieldProblem[] {
  const usedMhz = groupFrequenciesById(users);
  return antennas.flatMap((antenna, index) => {
    const description = toDescription(antenna);
    const found = [...(usedMhz.get(antenna.id) ?? [])].map((mhz) =>
      listThrownProblems(() => checkAntenna(description, mhz / 1000, `/antennas/${index}`)),
    );
    return found.find((problems) => problems.length > 0) ?? [];
  });
}

/** CPEs are used at every sector's channel, antennas of scans where sectors listen. */
function groupFrequenciesById({
  sectors,
  cpes,
  emitters,
  scans,
}: Omit<NetworkParts, "antennas">): Map<string, Set<number>> {
  const used = new Map<string, Set<number>>();
  const add = (id: string, centresMhz: Iterable<number>) => {
    const own = used.get(id) ?? new Set();
    for (const mhz of centresMhz) own.add(mhz);
    used.set(id, own);
  };
  const served = new Set(sectors.map(({ channel }) => channel.centreMhz));
  for (const { antenna, channel } of sectors) add(antenna, [channel.centreMhz]);
  for (const { cpe } of cpes) add(cpe.antenna, served);
  for (const { antenna, channel } of emitters) if (antenna !== undefined) add(antenna, [channel.centreMhz]);
  for (const { antenna } of scans) if (typeof antenna === "string") add(antenna, served);
  return used;
}
