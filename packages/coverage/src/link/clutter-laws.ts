import type { CoverageRequest, ModelSpec } from "@fellmark/network";
import { type ClutterLaw, isLawStated, STATED_RANGES } from "@fellmark/propagation";
import type { ClutterSources } from "@fellmark/terrain";
import { findMeasuredSources } from "../clutter/covered-ground.ts";
import {
  type ClutterAround,
  type EndClutterModel,
  findEndLaw,
  findStatedClutter,
  isStatistical,
} from "./end-clutter.ts";

/** A law by which a part of a link loses something to clutter, and whether it is stated there. */
export interface PartLaw {
  part: "mast" | "path" | "cpe";
  law: ClutterLaw;
  source: string;
  /** False where the law is used beyond the frequencies, or for other clutter, than its source states. */
  isStated: boolean;
}

/** Law of the loss at one end; none where nothing is lost there. The statistics of section 3.2 are of houses. */
export function listEndLaws(
  model: EndClutterModel,
  part: "mast" | "cpe",
  { around, antennaM, frequencyGhz }: { around: ClutterAround; antennaM: number; frequencyGhz: number },
): PartLaw[] {
  const law = findEndLaw(model, around, antennaM, frequencyGhz);
  if (law === null) return [];
  return [describeLaw(part, law, frequencyGhz, law === "p2108-terminal" || around.kind !== "trees")];
}

/** Laws of the loss on the way: over the tops by P.1812, through trees by the model's law. */
export function listPathLaws(
  { method, vegetationLaw }: Pick<ModelSpec, "method" | "vegetationLaw">,
  { canopyLengthM, frequencyGhz }: { canopyLengthM: number; frequencyGhz: number },
): PartLaw[] {
  const over = describeLaw("path", "p1812", frequencyGhz, true);
  const isThrough = method === "path-clutter" && canopyLengthM > 0;
  return isThrough ? [over, describeLaw("path", vegetationLaw, frequencyGhz, true)] : [over];
}

/** Law of the statistics of built-up country, which the request asks for at the CPE. */
export function describeStatisticalLaw(frequencyGhz: number): PartLaw {
  return describeLaw("cpe", "p2108-statistical", frequencyGhz, true);
}

/** Heights that stand for classes which only rasters tell, m. */
const CLASS_HEIGHTS_M = { trees: 15, suburban: 10 } as const;

/**
 * Laws by which the places of a map may lose something to clutter, each once: of the class that the request states, or of
 * any that its rasters may tell.
 * @param isMastAmong true where clutter costs anything at a mast.
 */
export function listMapLaws(
  { model, cpe }: Pick<CoverageRequest, "model" | "cpe">,
  frequencyGhz: number,
  isMastAmong: boolean,
): PartLaw[] {
  const { clutter } = model;
  const ends = "class" in clutter ? [findStatedClutter(model).cpe] : listClasses(clutter);
  const endLaws = (part: "mast" | "cpe", antennaM: number) =>
    ends.flatMap((around) => listEndLaws(model, part, { around, antennaM, frequencyGhz }));
  const sources = findMeasuredSources(model);
  const canopyLengthM = sources?.canopy === undefined ? 0 : 1;
  const laws = [
    ...(isMastAmong ? endLaws("mast", 0) : []),
    ...(sources ? listPathLaws(model, { canopyLengthM, frequencyGhz }) : []),
    ...(isStatistical(model) ? [describeStatisticalLaw(frequencyGhz)] : endLaws("cpe", cpe.heightAglM)),
  ];
  return laws.filter((one, at) => laws.findIndex(({ part, law }) => part === one.part && law === one.law) === at);
}

function listClasses({ landCover, canopy, buildings }: ClutterSources): ClutterAround[] {
  const isTree = landCover !== undefined || canopy !== undefined;
  const isHouse = landCover !== undefined || buildings !== undefined;
  const of = (kind: keyof typeof CLASS_HEIGHTS_M, isMeasured: boolean) => ({
    ...{ kind, heightM: CLASS_HEIGHTS_M[kind], isMeasured },
  });
  return [
    ...(isTree ? [of("trees", landCover === undefined)] : []),
    ...(isHouse ? [of("suburban", landCover === undefined)] : []),
  ];
}

function describeLaw(part: PartLaw["part"], law: ClutterLaw, frequencyGhz: number, isMeant: boolean): PartLaw {
  return { part, law, source: STATED_RANGES[law].source, isStated: isMeant && isLawStated(law, frequencyGhz) };
}
