import type { AntennaDescription } from "@fellmark/antenna";
import type { FieldProblem } from "@fellmark/units";
import { toDescription } from "./antenna-schema.ts";
import { listUnfitAntennas } from "./antennas-on-air.ts";
import type { RadioSpec, SectorSpec } from "./coverage-request.ts";
import type { NetworkParts } from "./network-parts.ts";
import { findRadioProblems } from "./radio-checks.ts";

/** Lists contradictions between fields: ids that occur twice or nowhere, feeders given twice, unequal frames. */
export function listCrossProblems(parts: NetworkParts): FieldProblem[] {
  return [
    ...listDuplicateIds(parts),
    ...listDanglingReferences(parts),
    ...parts.antennas.flatMap((antenna, index) => cutProblems(toDescription(antenna), `/antennas/${index}`)),
    ...listUnfitAntennas(parts),
    ...findRadioProblems(parts),
    ...listDoubleFeeders(parts),
    ...listUnequalFrames(parts),
  ];
}

function listDuplicateIds(parts: NetworkParts): FieldProblem[] {
  const problems: FieldProblem[] = [];
  const lists = ["sites", "antennas", "radios", "sectors", "plans", "emitters", "scans", "subscribers"] as const;
  const check = (ids: string[], pointerOf: (index: number) => string) => {
    const seen = new Set<string>();
    ids.forEach((id, index) => {
      if (seen.has(id)) problems.push({ pointer: `${pointerOf(index)}/id`, detail: `"${id}" stands twice` });
      seen.add(id);
    });
  };
  for (const list of lists) check(listIds(parts[list]), (index) => `/${list}/${index}`);
  check(
    parts.cpes.flatMap(({ id }) => id ?? []),
    (index) => `/cpes/${index}`,
  );
  return problems;
}

function listIds(items: readonly { id: string }[]): string[] {
  return items.map(({ id }) => id);
}

function listDanglingReferences(parts: NetworkParts): FieldProblem[] {
  const known = {
    site: new Set(listIds(parts.sites)),
    antenna: new Set(listIds(parts.antennas)),
    radio: new Set(listIds(parts.radios)),
    sector: new Set(listIds(parts.sectors)),
    plan: new Set(listIds(parts.plans)),
    cpe: new Set(parts.cpes.flatMap(({ id }) => id ?? [])),
  };
  const problems: FieldProblem[] = [];
  const check = (pointer: string, kind: keyof typeof known, id: string | undefined) => {
    if (id === undefined || known[kind].has(id)) return;
    problems.push({ pointer, detail: `there is no ${kind} "${id}" here` });
  };
  parts.sectors.forEach((sector, index) => {
    for (const kind of ["site", "antenna", "radio"] as const) check(`/sectors/${index}/${kind}`, kind, sector[kind]);
  });
  for (const { pointer, cpe } of parts.cpes) {
    for (const kind of ["antenna", "radio"] as const) check(`${pointer}/${kind}`, kind, cpe[kind]);
  }
  parts.emitters.forEach(({ antenna }, index) => {
    check(`/emitters/${index}/antenna`, "antenna", antenna);
  });
  parts.scans.forEach(({ site, antenna }, index) => {
    check(`/scans/${index}/site`, "site", site);
    if (typeof antenna === "string") check(`/scans/${index}/antenna`, "antenna", antenna);
  });
  parts.isolations.forEach(({ sectors }, index) => {
    for (const at of [0, 1] as const) check(`/isolations/${index}/sectors/${at}`, "sector", sectors[at]);
  });
  parts.subscribers.forEach((subscriber, index) => {
    check(`/subscribers/${index}/sector`, "sector", subscriber.sector);
    check(`/subscribers/${index}/plan`, "plan", subscriber.plan);
    // A coverage request has one CPE, without an id: there the subscribers' CPEs are not looked up.
    if (known.cpe.size > 0) check(`/subscribers/${index}/cpe`, "cpe", subscriber.cpe);
  });
  return problems;
}

function cutProblems(antenna: AntennaDescription, pointer: string): FieldProblem[] {
  if (antenna.kind === "cuts") {
    const { horizontal, vertical } = antenna;
    return [...findBadCut(horizontal, `${pointer}/horizontal`), ...findBadCut(vertical, `${pointer}/vertical`)];
  }
  return "base" in antenna ? cutProblems(antenna.base, `${pointer}/base`) : [];
}

function findBadCut(cut: readonly (readonly [number, number])[], pointer: string): FieldProblem[] {
  const problems: FieldProblem[] = [];
  cut.forEach(([angleDeg], row) => {
    const before = cut[row - 1]?.[0];
    if (before !== undefined && angleDeg <= before)
      problems.push({ pointer: `${pointer}/${row}`, detail: "angles must rise" });
  });
  const first = cut[0]?.[0] ?? 0;
  const last = cut.at(-1)?.[0] ?? 0;
  if (last - first >= 360) {
    const detail = "the same direction is listed twice";
    problems.push({ pointer: `${pointer}/${cut.length - 1}`, detail, limit: "less than 360 degrees in all" });
  }
  return problems;
}

function listDoubleFeeders({ sectors, cpes }: NetworkParts): FieldProblem[] {
  const masts = sectors.map((end, index) => ({ end, at: `/sectors/${index}` }));
  const ends = [...masts, ...cpes.map(({ cpe, pointer }) => ({ end: cpe, at: pointer }))];
  const detail = "state the feeder's loss or the feeder, not both";
  return ends.flatMap(({ end, at }) =>
    end.feeder && end.feederLossDb + end.connectorLossDb > 0 ? [{ pointer: `${at}/feeder`, detail }] : [],
  );
}

const FRAME_FIELDS = ["frameMs", "downShare", "guardUs"] as const;

/** Sectors that keep time together switch together: the first of a group sets the frame. */
function listUnequalFrames({ sectors, radios }: NetworkParts): FieldProblem[] {
  const radioById = new Map(radios.map((radio) => [radio.id, radio]));
  const leaderOf = new Map<string, { sector: SectorSpec; radio: RadioSpec }>();
  return sectors.flatMap((sector, index) => {
    const radio = radioById.get(sector.radio);
    if (!radio) return [];
    const leader = leaderOf.get(sector.timingGroup);
    if (!leader) leaderOf.set(sector.timingGroup, { sector, radio });
    const field = leader && FRAME_FIELDS.find((name) => radio[name] !== leader.radio[name]);
    if (!leader || !field) return [];
    const detail =
      `"${sector.id}" and "${leader.sector.id}" are both in timing group "${sector.timingGroup}", ` +
      `but have ${field} ${radio[field]} and ${leader.radio[field]}`;
    return [{ pointer: `/sectors/${index}/timingGroup`, detail }];
  });
}
