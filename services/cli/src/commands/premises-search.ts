import { openPremisesList, type PremisesList, type SearchHit } from "@fellmark/premises";
import type { Command } from "commander";
import type { CommandContext } from "../command-context.ts";
import { createDataOption, resolvePremisesDir } from "../input/column-options.ts";
import { createPlaceOption, requireValue } from "../input/options.ts";
import { TENANT } from "../input/request-file.ts";
import { formatColumns } from "../output/columns.ts";
import { printText } from "../output/print.ts";

const NO_LIST = "not known: no premises were imported";

/** Nearest premises that are listed. */
const NEAREST = 10;

interface SearchOptions {
  near?: { lon: number; lat: number };
  db?: string;
}

const EXAMPLES = `
Examples:
  fellmark premises search 12 alder row
  fellmark premises search --near=-72.1,44.2`;

/** Adds `premises search`: by address, or nearest to a place. */
export function addPremisesSearchCommand(premises: Command, { config }: CommandContext): void {
  premises
    .command("search")
    .description("Find an address, or the premises nearest to a place")
    .argument("[TEXT...]", "the address; one typing error per word is tolerated")
    .addOption(createPlaceOption("--near <LON,LAT>", `list the ${NEAREST} nearest to this place instead`))
    .addOption(createDataOption("data folder of the service"))
    .addHelpText("after", EXAMPLES)
    .action(async (words: string[], { near, db }: SearchOptions) => {
      const text = near ? "" : requireValue(words.join(" ") || undefined, "TEXT", "the address to find");
      const list = await openPremisesList(resolvePremisesDir(config, db), TENANT);
      try {
        printText(near ? listNearest(list, near) : listFound(list, text));
      } finally {
        list?.close();
      }
    });
}

function listFound(list: PremisesList | undefined, text: string): string {
  const { hits, tie } = list?.search(text) ?? { hits: [], tie: false };
  if (hits.length === 0) return list ? "not known" : NO_LIST;
  return [...(tie ? ["several addresses match equally well:"] : []), formatHits(hits)].join("\n");
}

function formatHits(hits: SearchHit[]): string {
  return formatColumns(hits.map(({ id, address, lon, lat }) => [id, address, String(lon), String(lat)]));
}

function listNearest(list: PremisesList | undefined, at: { lon: number; lat: number }): string {
  const near = list?.nearest(at, NEAREST) ?? [];
  if (near.length === 0) return NO_LIST;
  return formatColumns(near.map(({ id, address, distanceM }) => [`${distanceM.toFixed(1)} m`, id, address]));
}
