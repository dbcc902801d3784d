import type { AntennaPattern } from "../pattern.ts";
import { checkGain } from "./check-gain.ts";
import { type ExchangeCut, type ExchangeFile, parseExchangeText, readRecord } from "./exchange-text.ts";
import { buildPattern } from "./pattern-of-cuts.ts";
import { checkCut, type Plane, type ReadCut } from "./read-cut.ts";
import { createRefuse, parseNumber, type ReadWarning, type Refuse } from "./read-fault.ts";

/** A pattern and the contradictions in its file that do not prevent its use. */
export interface ReadAntenna {
  pattern: AntennaPattern;
  warnings: ReadWarning[];
}

/** Gain of a half-wave dipole, dBi. Source: Balanis, Antenna Theory, 4.6. */
const DIPOLE_DBI = 2.15;

const PLANES: ReadonlyMap<string, Plane> = new Map([
  ["H", "horizontal"],
  ["AZ", "horizontal"],
  ["V", "vertical"],
  ["EL", "vertical"],
]);

/** Port, and polarisation of a cross-polar measurement, by the antenna's polarisation in POLARI. */
const POLARISATIONS: ReadonlyMap<string, { port: 0 | 1; other: string }> = new Map([
  ["H", { port: 0, other: "V" }],
  ["V", { port: 1, other: "H" }],
  ["SLR", { port: 0, other: "SLL" }],
  ["SLL", { port: 1, other: "SLR" }],
  ["RCP", { port: 0, other: "LCP" }],
  ["LCP", { port: 1, other: "RCP" }],
]);

/**
 * Reads an exchange text at a frequency: the cuts of the nearest frequency in the file; the gain interpolated between its
 * low, middle and high values where they are given.
 * Source: NSMA WG16.99.050 (20 May 1999) / TIA-804-B; elevation angles are positive up. Cuts by angle: see buildSphere.
 * @param pointer JSON pointer of the antenna, for errors.
 * Throws InputError that names line and reason.
 */
export function readExchange(text: string, frequencyGhz: number, pointer = ""): ReadAntenna {
  const refuse = createRefuse(pointer);
  const warnings: ReadWarning[] = [];
  const file = parseExchangeText(text, warnings, refuse);
  const frequencyMhz = 1000 * frequencyGhz;
  const gain = interpolateGain(file, frequencyMhz, warnings, refuse);
  const cuts = findNearestCuts(file, frequencyMhz, refuse).map((cut) => readCut(cut, gain, refuse));
  for (const cut of cuts) checkCut(cut, refuse);
  checkTilt(file, cuts, warnings, refuse);
  const pattern = buildPattern(cuts, { gainDbi: gain.dbi, levels: readLevels(file, refuse) }, warnings, refuse);
  checkGain(pattern, gain.line, warnings, refuse);
  return { pattern, warnings };
}

function readLevels({ header }: ExchangeFile, refuse: Refuse): AntennaPattern["levels"] {
  const { value, line } = readRecord(header, "PATTYP");
  const kind = value.toLowerCase();
  if (kind === "envelope") return "envelope";
  return kind === "typical" ? "actual" : refuse(line, `PATTYP is "typical" or "envelope", got "${value}"`);
}

/** Conversion of the file's numbers to dBi and to levels below the peak. */
interface FileGain {
  dbi: number;
  /** Subtracted from each level: 0 where the levels are relative. */
  levelZeroDb: number;
  line: number;
}

function interpolateGain(
  { header }: ExchangeFile,
  frequencyMhz: number,
  warnings: ReadWarning[],
  refuse: Refuse,
): FileGain {
  const { value: units, line: unitsLine } = readRecord(header, "GUNITS");
  const match = /^DB([ID])\/DB([IDR])$/.exec(units.toUpperCase());
  if (!match) return refuse(unitsLine, `GUNITS is DBI/DBR, DBD/DBR or alike, got "${units}"; is the gain dBi or dBd?`);
  const number = (tag: string): number | null => {
    const record = header.get(tag);
    return record ? parseNumber(record.value.split(",")[0], tag, record.line, refuse) : null;
  };
  const [lowMhz, highMhz] = [number("LOWFRQ") ?? 0, number("HGHFRQ") ?? 0];
  const low = readRecord(header, "LOWFRQ");
  if (!(lowMhz > 0 && highMhz >= lowMhz)) refuse(low.line, `LOWFRQ ${lowMhz} and HGHFRQ ${highMhz} are not a band`);
  if (frequencyMhz < lowMhz || frequencyMhz > highMhz) {
    const detail = `${frequencyMhz.toFixed(0)} MHz is outside the file's ${lowMhz} to ${highMhz} MHz`;
    warnings.push({ code: "outside_band", line: low.line, detail });
  }
  const middle = number("MDGAIN") ?? 0;
  const place = highMhz > lowMhz ? (2 * (frequencyMhz - lowMhz)) / (highMhz - lowMhz) - 1 : 0;
  const edge = number(place < 0 ? "LWGAIN" : "HGGAIN") ?? middle;
  const gain = middle + (edge - middle) * Math.min(Math.abs(place), 1);
  const dbi = gain + (match[1] === "D" ? DIPOLE_DBI : 0);
  const levelZeroDb = match[2] === "R" ? 0 : dbi - (match[2] === "D" ? DIPOLE_DBI : 0);
  return { dbi, levelZeroDb, line: readRecord(header, "MDGAIN").line };
}

function findNearestCuts({ frequencies }: ExchangeFile, frequencyMhz: number, refuse: Refuse): ExchangeCut[] {
  const distances = frequencies.map(({ records }) => {
    const { value, line } = readRecord(records, "PATFRE");
    return Math.abs(parseNumber(value, "PATFRE", line, refuse) - frequencyMhz);
  });
  return frequencies[distances.indexOf(Math.min(...distances))].cuts;
}

function readCut({ records, points }: ExchangeCut, { levelZeroDb }: FileGain, refuse: Refuse): ReadCut {
  const { value: name, line } = readRecord(records, "PATCUT");
  const plane = PLANES.get(name.toUpperCase()) ?? parseCutAngleDeg(name, line, refuse);
  const polarisation = readRecord(records, "POLARI");
  const [own, measured] = polarisation.value.toUpperCase().split("/");
  const known = POLARISATIONS.get(own);
  if (!known || (measured !== own && measured !== known.other)) {
    return refuse(polarisation.line, `POLARI is antenna/measured such as V/V or V/H, got "${polarisation.value}"`);
  }
  return {
    plane,
    port: known.port,
    isCross: measured !== own,
    line,
    points: points.map(({ line: at, angleDeg, level }) => ({ line: at, angleDeg, levelDb: level - levelZeroDb })),
  };
}

function parseCutAngleDeg(name: string, line: number, refuse: Refuse): number {
  const angleDeg = parseNumber(name, "the cut, unless it is H, V, AZ or EL,", line, refuse);
  if (angleDeg >= -180 && angleDeg <= 360) return angleDeg;
  return refuse(line, `the angle of the cut is ${angleDeg}, not -180 to 360`);
}

/** Warns where the vertical cut does not peak at the stated electrical downtilt. */
function checkTilt({ header }: ExchangeFile, cuts: readonly ReadCut[], warnings: ReadWarning[], refuse: Refuse): void {
  const { value, line } = readRecord(header, "ELTILT");
  const [tiltDeg, toleranceDeg = 0] = value.split(",").map((word) => parseNumber(word, "ELTILT", line, refuse));
  const cut = cuts.find(({ plane, isCross }) => plane === "vertical" && !isCross);
  if (!cut) return;
  const peak = cut.points.reduce((best, point) => (point.levelDb > best.levelDb ? point : best));
  const peakDeg = peak.angleDeg > 180 ? peak.angleDeg - 360 : peak.angleDeg;
  const allowedDeg = Math.max(toleranceDeg, 1);
  if (Math.abs(peakDeg + tiltDeg) <= allowedDeg) return;
  const isMirrored = Math.abs(peakDeg - tiltDeg) <= allowedDeg;
  const cause = isMirrored ? ": are its angles positive down?" : "";
  const detail = `ELTILT is ${tiltDeg} degrees down, the vertical cut peaks at ${peakDeg}${cause}`;
  warnings.push({ code: "tilt_differs", line, detail });
}
