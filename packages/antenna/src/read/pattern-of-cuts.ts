import { createCutsPattern } from "../cuts-pattern.ts";
import type { AntennaPattern } from "../pattern.ts";
import { type AngleSphere, buildSphere, isAngleCut } from "./angle-cuts.ts";
import { createCrossLevel } from "./cross-cuts.ts";
import { type Plane, type ReadCut, toCutPoints } from "./read-cut.ts";
import type { ReadWarning, Refuse } from "./read-fault.ts";

type Gain = (azimuthDeg: number, elevationDeg: number) => number;

/**
 * Returns the pattern of a file's cuts: both planes of one port at least, or as many cuts by angle as determine the
 * sphere. A port that was not measured copies the other, with a warning; the cross-polar gain is known only where it was
 * measured for every measured port.
 */
export function buildPattern(
  cuts: readonly ReadCut[],
  { gainDbi, levels }: { gainDbi: number; levels: AntennaPattern["levels"] },
  warnings: ReadWarning[],
  refuse: Refuse,
): AntennaPattern {
  refuseTwice(cuts, refuse);
  const measured = [0, 1].filter((port) => cuts.some((cut) => cut.port === port && !cut.isCross));
  const line = cuts[0]?.line ?? 1;
  if (measured.length === 0) refuse(line, "there is no co-polar cut");
  if (measured.length === 1) {
    const detail = "only one polarisation was measured; the other uses the same pattern";
    warnings.push({ code: "one_polarisation", line, detail });
  }
  const co = measured.map((port) => createCoGain(cuts, port, { gainDbi, warnings, refuse }));
  const cross = measured.map((port) => createCrossGain(cuts, port, gainDbi));
  const known = cross.filter((gain) => gain !== null);
  if (known.length < cross.length && cuts.some(({ isCross }) => isCross)) {
    const detail = "the cross-polar cuts do not determine the sphere of each port; cross-polar gain is not known";
    warnings.push({ code: "cross_polar_incomplete", line, detail });
  }
  return {
    peakGainDbi: gainDbi,
    levels,
    gainDbi: (azimuthDeg, elevationDeg, port) => findPortCuts(co, port)(azimuthDeg, elevationDeg),
    ...(known.length === cross.length && {
      crossGainDbi: (azimuthDeg: number, elevationDeg: number, port: 0 | 1) =>
        findPortCuts(known, port)(azimuthDeg, elevationDeg),
    }),
  };
}

/** Returns the gain of a port; the list has one entry where both ports are alike. */
function findPortCuts(gains: readonly Gain[], port: 0 | 1): Gain {
  return gains[Math.min(port, gains.length - 1)];
}

function find(cuts: readonly ReadCut[], port: number, plane: Plane, isCross: boolean): ReadCut | undefined {
  return cuts.find((cut) => cut.port === port && cut.plane === plane && cut.isCross === isCross);
}

function createCoGain(
  cuts: readonly ReadCut[],
  port: number,
  { gainDbi, warnings, refuse }: { gainDbi: number; warnings: ReadWarning[]; refuse: Refuse },
): Gain {
  const byAngle = buildSphereByAngle(cuts, port, false);
  if (byAngle) {
    const { line, sphere } = byAngle;
    if ("reason" in sphere) return refuse(line, sphere.reason);
    warnings.push({ code: "cuts_by_angle", line, detail: `the cuts by angle are read as ${sphere.readAs}` });
    return (azimuthDeg, elevationDeg) => gainDbi + sphere.level(azimuthDeg, elevationDeg);
  }
  const [horizontal, vertical] = [find(cuts, port, "horizontal", false), find(cuts, port, "vertical", false)];
  if (!horizontal) return refuse(vertical?.line ?? 1, "the horizontal cut of this polarisation is missing");
  if (!vertical) return refuse(horizontal.line, "the vertical cut of this polarisation is missing");
  const pattern = createCutsPattern({ gainDbi, horizontal: toCutPoints(horizontal), vertical: toCutPoints(vertical) });
  return (azimuthDeg, elevationDeg) => pattern.gainDbi(azimuthDeg, elevationDeg, 0);
}

function createCrossGain(cuts: readonly ReadCut[], port: number, gainDbi: number): Gain | null {
  const byAngle = buildSphereByAngle(cuts, port, true);
  if (byAngle) {
    const { sphere } = byAngle;
    if ("reason" in sphere) return null;
    return (azimuthDeg, elevationDeg) => gainDbi + sphere.level(azimuthDeg, elevationDeg);
  }
  const [horizontal, vertical] = [find(cuts, port, "horizontal", true), find(cuts, port, "vertical", true)];
  if (!horizontal || !vertical) return null;
  const level = createCrossLevel(toCutPoints(horizontal), toCutPoints(vertical));
  return (azimuthDeg, elevationDeg) => gainDbi + level(azimuthDeg, elevationDeg);
}

/** Returns the sphere of the cuts by angle; null where there are none. */
function buildSphereByAngle(
  cuts: readonly ReadCut[],
  port: number,
  isCross: boolean,
): { line: number; sphere: AngleSphere } | null {
  const own = cuts.filter((cut) => cut.port === port && cut.isCross === isCross);
  const byAngle = own.filter(isAngleCut);
  if (byAngle.length === 0) return null;
  const { line } = byAngle[0];
  const named = own.find((cut) => !isAngleCut(cut));
  if (!named) return { line, sphere: buildSphere(byAngle) };
  const reason = `this cut has an angle, the cut at line ${named.line} a name: use one of the two`;
  return { line, sphere: { reason } };
}

function refuseTwice(cuts: readonly ReadCut[], refuse: Refuse): void {
  const seen = new Map<string, number>();
  for (const { plane, port, isCross, line } of cuts) {
    const key = `${plane} ${port} ${isCross}`;
    const before = seen.get(key);
    if (before !== undefined) refuse(line, `line ${before} has the same plane and polarisation`);
    seen.set(key, line);
  }
}
