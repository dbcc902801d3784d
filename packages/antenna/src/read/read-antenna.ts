import type { AntennaDescription } from "../description.ts";
import { readCsv } from "./read-csv.ts";
import { readExchange } from "./read-exchange.ts";
import type { ReadWarning } from "./read-fault.ts";

/** Returns the warnings of a description's pattern file, or of the antenna it changes. Throws as the readers do. */
export function readWarnings(description: AntennaDescription, frequencyGhz: number, pointer = ""): ReadWarning[] {
  switch (description.kind) {
    case "exchange":
      return readExchange(description.text, frequencyGhz, pointer).warnings;
    case "csv":
      return readCsv(description.text, description.gainDbi, pointer).warnings;
    case "shrouded":
    case "without-lobes":
      return readWarnings(description.base, frequencyGhz, `${pointer}/base`);
    default:
      return [];
  }
}
