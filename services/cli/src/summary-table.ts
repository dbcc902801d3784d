/** What the table needs of summary.json. */
export interface Summary {
  name: string;
  notKnownShare: number;
  tiers: { plan: string; downMbps: number; upMbps: number; areaKm2: number; share: number }[];
  noService: { areaKm2: number; share: number; upOnlyFails: number };
  sectors: { id: string; eirpDbm: number; binding: string | null; servedCells: number }[];
  warnings: { code: string; pointer: string; detail: string }[];
}

/** The summary as a person reads it: what is sold where, who sends it, what to mind. */
export function summaryTable(summary: Summary): string {
  const tiers = summary.tiers.map((tier) => [
    tier.plan,
    `${tier.downMbps} / ${tier.upMbps} Mbit/s`,
    ...areaCells(tier),
  ]);
  const noService = ["no service", "", ...areaCells(summary.noService)];
  const notKnown = ["not known", "", "", percent(summary.notKnownShare)];
  const sectors = summary.sectors.map(({ id, eirpDbm, binding, servedCells }) => [
    id,
    `${eirpDbm.toFixed(1)} dBm`,
    binding ?? "-",
    `${servedCells} cells`,
  ]);
  return [
    columns([["plan", "down / up", "area", "share"], ...tiers, noService, notKnown]),
    columns([["sector", "EIRP", "held by", "serves"], ...sectors]),
    ...warningLines(summary.warnings),
  ].join("\n\n");
}

function areaCells({ areaKm2, share }: { areaKm2: number; share: number }): string[] {
  return [`${areaKm2.toFixed(2)} km2`, percent(share)];
}

function percent(share: number): string {
  return `${(100 * share).toFixed(1)} %`;
}

/** One paragraph a warning, however many fields of the request it concerns. */
function warningLines(warnings: Summary["warnings"]): string[] {
  const pointers = new Map<string, string[]>();
  for (const { code, pointer, detail } of warnings) {
    const text = `! ${code}: ${detail}`;
    pointers.set(text, [...(pointers.get(text) ?? []), pointer]);
  }
  return Array.from(pointers, ([text, at]) => `${text}\n    at ${at.join(", ")}`);
}

/** Rows of cells in columns of equal width. */
export function columns(rows: string[][]): string {
  const widths = rows[0]?.map((_, column) => Math.max(...rows.map((row) => row[column].length))) ?? [];
  return rows
    .map((row) =>
      row
        .map((cell, column) => cell.padEnd(widths[column]))
        .join("  ")
        .trimEnd(),
    )
    .join("\n");
}
