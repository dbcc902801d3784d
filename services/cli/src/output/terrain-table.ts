import type { Compute } from "@fellmark/compute";
import { formatColumns } from "./columns.ts";

type TerrainReport = Awaited<ReturnType<Compute["terrainReport"]>>;
type FileReport = TerrainReport["files"][number];

const HEADS = ["set", "file", "format", "cells", "cell", "west south east north", "contents", "voids", "kind"];

/** Formats every raster with extent, resolution, voids and contents, and every refusal with its reason. */
export function formatTerrain({ files, refused, fingerprint }: TerrainReport): string {
  const notes = files.flatMap((each) => [
    ...(hasOwnCrs(each) ? [`${each.file.name}: ${each.crs}`] : []),
    ...formatUnread(each),
    ...formatCodes(each),
  ]);
  const refusals = refused.map(({ name, reason }) => `refused ${name}: ${reason}`);
  const table = formatColumns([HEADS, ...files.map(toFileRow)]);
  return [table, ...notes, ...refusals, `version ${fingerprint}`].join("\n");
}

/** Says that a file was not read whole, and why. */
function formatUnread({ file, cells, unreadCells }: FileReport): string[] {
  if (unreadCells === 0) return [];
  const reason = `a file of ${file.identity.sizeBytes} bytes with ${cells} cells takes too long to check`;
  return [`${file.name}: the southern ${formatShare(unreadCells, cells)} was not read; ${reason}`];
}

function toFileRow(report: FileReport): string[] {
  const { file, crs, voidCells, cells, unreadCells } = report;
  return [
    file.set,
    file.name,
    `${file.format} ${hasOwnCrs(report) ? "user-defined" : crs}`,
    `${file.widthPx} x ${file.heightPx}`,
    `${file.resolutionM.toFixed(1)} m`,
    file.bbox.map((degrees) => degrees.toFixed(4)).join(" "),
    formatContents(report),
    `${voidCells} (${formatShare(voidCells, cells - unreadCells)})`,
    file.kind,
  ];
}

/** True where a file writes its coordinate system out instead of naming it. */
function hasOwnCrs({ file }: FileReport): boolean {
  return typeof file.crs === "string";
}

function formatContents({ file, codes, lowestM, highestM, coveredCells, cells }: FileReport): string {
  if (file.kind === "land-cover") return `${codes.length} codes`;
  const range = `${lowestM}..${highestM} m`;
  const isHeight = file.kind === "canopy" || file.kind === "buildings";
  return isHeight ? `${range}, ${formatShare(coveredCells, cells)} are 2 m or higher` : range;
}

/** Land-cover codes with their shares; codes that the legend does not have are listed apart. */
function formatCodes({ file, codes, cells }: FileReport): string[] {
  const list = (some: typeof codes) =>
    some
      .map(({ code, name, cells: own }) => [code, ...(name ? [name] : []), formatShare(own, cells)].join(" "))
      .join(", ");
  const known = codes.filter(({ name }) => name !== null);
  const unknown = codes.filter(({ name }) => name === null);
  return [
    ...(known.length > 0 ? [`${file.name}: ${list(known)}`] : []),
    ...(unknown.length > 0 ? [`${file.name}: not in the legend: ${list(unknown)}`] : []),
  ];
}

function formatShare(part: number, whole: number): string {
  return `${((100 * part) / whole).toFixed(2)} %`;
}
