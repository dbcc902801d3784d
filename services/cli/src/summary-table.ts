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
  const percent = (share: number) => `${(100 * share).toFixed(1)} %`;
  const tiers = summary.tiers.map((tier) => [
    tier.plan,
    `${tier.downMbps} / ${tier.upMbps} Mbit/s`,
    `${tier.areaKm2.toFixed(2)} km2`,
    percent(tier.share),
  ]);
  const rest = [
    ["no service", "", `${summary.noService.areaKm2.toFixed(2)} km2`, percent(summary.noService.share)],
    ["not known", "", "", percent(summary.notKnownShare)],
  ];
  const sectors = summary.sectors.map(({ id, eirpDbm, binding, servedCells }) => [
    id,
    `EIRP ${eirpDbm.toFixed(1)} dBm`,
    binding === null ? "" : `held by ${binding}`,
    `${servedCells} cells`,
  ]);
  const warnings = summary.warnings.map(({ code, pointer, detail }) => `! ${code} ${pointer}: ${detail}`);
  return [columns([...tiers, ...rest]), columns(sectors), ...warnings].join("\n");
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
