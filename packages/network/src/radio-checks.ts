import {
  checkOwnTables,
  findCommonTable,
  GUARD_INTERVALS_US,
  listWidths,
  type OwnTable,
  readOwnTables,
} from "@fellmark/radio";
import type { FieldProblem } from "@fellmark/units";
import type { CoverageRequest, CpeSpec, RadioSpec } from "./coverage-request.ts";
import { listThrownProblems } from "./field-problems.ts";

interface RadioUsers extends Pick<CoverageRequest, "radios" | "sectors"> {
  cpes: readonly { pointer: string; cpe: CpeSpec }[];
}

/** Returns the own tables of a radio, from its steps or its CSV; none for tables of a standard. Throws InputError. */
export function readRadioTables({ ownTables, ownTablesCsv }: RadioSpec, pointer = ""): readonly OwnTable[] {
  return ownTables ?? (ownTablesCsv === undefined ? [] : readOwnTables(ownTablesCsv, `${pointer}/ownTablesCsv`));
}

/** Returns the problems of radios: own tables, guard intervals, and links whose ends have no table or width in common. */
export function findRadioProblems(parts: RadioUsers): FieldProblem[] {
  const own = parts.radios.flatMap((radio, index) => findTableProblems(radio, `/radios/${index}`));
  return own.length > 0 ? own : findLinkProblems(parts);
}

function findTableProblems(radio: RadioSpec, pointer: string): FieldProblem[] {
  const sources = [radio.ownTables, radio.ownTablesCsv].filter((source) => source !== undefined).length;
  if (radio.table === "own" && sources !== 1) {
    return [{ pointer: `${pointer}/table`, detail: "is own: state either ownTables or ownTablesCsv" }];
  }
  if (radio.table !== "own" && sources > 0) {
    return [{ pointer: `${pointer}/table`, detail: `is ${radio.table}: own tables need the table own` }];
  }
  return [
    ...listThrownProblems(() => checkOwnTables(readRadioTables(radio, pointer), `${pointer}/ownTables`)),
    ...findGuardProblems(radio, pointer),
  ];
}

function findGuardProblems({ table, guardIntervalUs }: RadioSpec, pointer: string): FieldProblem[] {
  if (guardIntervalUs === undefined) return [];
  const allowed: readonly number[] = table in GUARD_INTERVALS_US ? GUARD_INTERVALS_US[table as "802.11ax"] : [];
  if (allowed.includes(guardIntervalUs)) return [];
  const detail = `is ${guardIntervalUs} us, which ${table} does not have`;
  return [{ pointer: `${pointer}/guardIntervalUs`, detail, limit: allowed.join(", ") || "only for tables of 802.11" }];
}

function findLinkProblems({ radios, sectors, cpes }: RadioUsers): FieldProblem[] {
  const known = new Map(radios.map((radio) => [radio.id, radio]));
  return sectors.flatMap((sector, index) => {
    const mast = known.get(sector.radio);
    if (!mast) return [];
    const width = findWidthProblem(mast, sector.channel.widthMhz, `/sectors/${index}/channel/widthMhz`);
    if (width.length > 0) return width;
    return cpes.flatMap(({ cpe, pointer }) => {
      const radio = known.get(cpe.radio);
      if (!radio) return [];
      if (findCommonTable(mast.table, radio.table) !== null) {
        return findWidthProblem(radio, sector.channel.widthMhz, `${pointer}/radio`);
      }
      const detail = `has the table ${radio.table}, sector "${sector.id}" ${mast.table}: they have no rate in common`;
      return [{ pointer: `${pointer}/radio`, detail }];
    });
  });
}

function findWidthProblem(radio: RadioSpec, widthMhz: number, pointer: string): FieldProblem[] {
  const widths = listWidths(radio.table, readRadioTables(radio));
  if (widths.includes(widthMhz)) return [];
  const detail = `is ${widthMhz} MHz, which radio "${radio.id}" (${radio.table}) does not have`;
  return [
    {
      pointer,
      detail: pointer.endsWith("/radio") ? `has no channel of ${widthMhz} MHz` : detail,
      limit: `${widths.join(", ")} MHz`,
    },
  ];
}
