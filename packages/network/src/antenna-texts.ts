import { setImmediate as othersFirst } from "node:timers/promises";
import { type AntennaDescription, readWarnings } from "@fellmark/antenna";
import { type FieldProblem, InputError } from "@fellmark/units";
import { type AntennaSpec, toDescription } from "./antenna-schema.ts";
import type { Change } from "./changes.ts";
import type { SectorSpec } from "./coverage-request.ts";
import { listThrownProblems, refuse } from "./field-problems.ts";

/** An antenna that holds the text of a pattern file, itself or as what it changes. */
export interface AntennaText {
  description: AntennaDescription;
  /** JSON pointer of the antenna in the body that was sent. */
  pointer: string;
  /** Frequency at which it is read: of the first sector that uses it, else of the first of all. */
  frequencyGhz: number;
}

/** Texts that one body may bring: they are read while the caller waits. */
const MOST_TEXTS = 64;

interface Users {
  antennas: readonly AntennaSpec[];
  sectors: readonly Pick<SectorSpec, "id" | "antenna" | "channel">[];
}

/** The texts among the antennas of a request or network. @param at JSON pointer of it in the body. */
export function listAntennaTexts({ antennas, sectors }: Users, at = ""): AntennaText[] {
  return antennas.flatMap((antenna, index) => {
    const user = sectors.find((sector) => sector.antenna === antenna.id) ?? sectors[0];
    return findText(antenna, `${at}/antennas/${index}`, user);
  });
}

/** The texts among the antennas that changes bring along. */
export function listChangedTexts(changes: readonly Change[], { sectors }: Pick<Users, "sectors">): AntennaText[] {
  return changes.flatMap((change, index) =>
    listChangedAntennas(change, `/changes/${index}`).flatMap(({ antenna, pointer, sector }) => {
      if (typeof antenna === "string") return [];
      return findText(antenna, pointer, sectors.find(({ id }) => id === sector) ?? sectors[0]);
    }),
  );
}

interface ChangedAntenna {
  antenna: AntennaSpec | string;
  pointer: string;
  /** Id of the sector that gets it; null for a CPE. */
  sector: string | null;
}

function listChangedAntennas(change: Change, at: string): ChangedAntenna[] {
  switch (change.kind) {
    case "swap-antenna":
      return [{ antenna: change.antenna, pointer: `${at}/antenna`, sector: change.sector }];
    case "split":
      return change.into.map(({ antenna }, index) => ({
        antenna,
        pointer: `${at}/into/${index}/antenna`,
        sector: change.sector,
      }));
    case "add-sector":
      return [{ antenna: change.sector.antenna, pointer: `${at}/sector/antenna`, sector: change.sector.id }];
    case "cpe":
      return change.antenna === undefined ? [] : [{ antenna: change.antenna, pointer: `${at}/antenna`, sector: null }];
    default:
      return [];
  }
}

function findText(antenna: AntennaSpec, pointer: string, { channel }: Users["sectors"][number]): AntennaText[] {
  const description = toDescription(antenna);
  return hasText(description) ? [{ description, pointer, frequencyGhz: channel.centreMhz / 1000 }] : [];
}

function hasText(description: AntennaDescription): boolean {
  return "text" in description || ("base" in description && hasText(description.base));
}

/**
 * Reads the texts as the computation will, one after another, and lets others run between them: a text of 1 MB takes
 * 0.3 s, a common one 0.02 s.
 * Throws InputError with every text at fault, such as `/antennas/3/text`, "line 34: the angle -100 occurs twice".
 */
export async function checkAntennaTexts(texts: readonly AntennaText[]): Promise<void> {
  if (texts.length > MOST_TEXTS) {
    const detail = `${texts.length} antennas are texts of pattern files`;
    throw new InputError([{ pointer: texts[MOST_TEXTS].pointer, detail, limit: MOST_TEXTS }]);
  }
  const problems: FieldProblem[] = [];
  for (const { description, pointer, frequencyGhz } of texts) {
    problems.push(...listThrownProblems(() => readWarnings(description, frequencyGhz, pointer)));
    await othersFirst();
  }
  refuse(problems);
}
