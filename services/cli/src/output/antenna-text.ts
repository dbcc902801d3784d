import { listMissingEfficiencies, measureTable, toLossRows } from "@fellmark/antenna";
import type { AntennaReply } from "@fellmark/compute";
import { formatColumns } from "./columns.ts";

/** Formats the parameters of antennas side by side, with warnings and the losses of those built from dimensions. */
export function formatAntennas({ antennas }: AntennaReply): string {
  const names = ["", ...antennas.map(({ name }) => name)];
  const warnings = antennas.flatMap(({ name, warnings }) =>
    warnings.map(({ code, line, detail }) => `! ${name}, line ${line}: ${code}: ${detail}`),
  );
  const refusals = antennas.flatMap((antenna) =>
    listMissingEfficiencies(antenna).map((reason) => `${antenna.name}: beam efficiency is not computed: ${reason}`),
  );
  const losses = antennas.flatMap(({ name, losses: table }) =>
    table ? ["", name, formatColumns(toLossRows(table))] : [],
  );
  return [formatColumns([names, ...measureTable(antennas)]), ...refusals, ...warnings, ...losses].join("\n");
}
