import { computeWavelengthM, type FieldProblem, InputError } from "@fellmark/units";
import type { PyramidalHornDescription } from "../description.ts";
import type { AntennaPattern } from "../pattern.ts";
import { checkSize, createGridPattern, type GridSource } from "./grid-pattern.ts";
import { type LossParts, listLossParts } from "./loss-parts.ts";
import { HORN_PURITY_DB } from "./synthesised-pattern.ts";

/**
 * A pyramidal horn: over the mouth the field of the dominant mode, a cosine across its H plane and even along its E
 * plane, curved as the wave front of the flare is in each; obliquity (1 + cos) / 2. Port 1 is polarised upright, port
 * 0 across, as in a horn with a square feed; each side of the mouth keeps its slant length.
 * Source: C. A. Balanis, Antenna Theory, 13.4. Accuracy: gain within 0.2 dB of the design curves from 3 wavelengths.
 * Throws InputError below `pointer` for a side under 0.6 or over 64 wavelengths, or a slant shorter than half a side.
 */
export function createPyramidalHornPattern(
  description: PyramidalHornDescription,
  frequencyGhz: number,
  pointer: string,
  parts: LossParts = listLossParts(description),
): AntennaPattern {
  checkPyramidalHorn(description, frequencyGhz, pointer);
  const { lossDb = 0 } = description;
  const source = createPyramidalHornSource(description, frequencyGhz);
  return createGridPattern(source, { frequencyGhz, lossDb, parts, feedPurityDb: HORN_PURITY_DB }, pointer);
}

/** The far field of a horn, before it is sampled. */
export function createPyramidalHornSource(description: PyramidalHornDescription, frequencyGhz: number): GridSource {
  const { widthM, heightM, slantLengthHM, slantLengthEM } = description;
  const lambdaM = computeWavelengthM(frequencyGhz);
  const across = tabulateSideTransforms(widthM, slantLengthHM, lambdaM);
  const upward = tabulateSideTransforms(heightM, slantLengthEM, lambdaM);
  return {
    widthM,
    heightM,
    row(elevationRad, port) {
      const [horizontal, vertical] = port === 1 ? [across.cosine, upward.even] : [across.even, upward.cosine];
      const column = new Float64Array(2);
      const line = new Float64Array(2);
      vertical(Math.sin(elevationRad), line);
      const level = Math.cos(elevationRad);
      return (sineAzimuth, cosineAzimuth, out) => {
        horizontal(level * sineAzimuth, column);
        const obliquity = (1 + level * cosineAzimuth) / 2;
        out[0] = obliquity * (column[0] * line[0] - column[1] * line[1]);
        out[1] = obliquity * (column[0] * line[1] + column[1] * line[0]);
        out[2] = 0;
        out[3] = 0;
      };
    },
  };
}

/** Field of one side toward a direction whose component along that side is given; writes re, im. */
type SideTransform = (component: number, out: Float64Array) => void;

function tabulateSideTransforms(
  sideM: number,
  slantM: number,
  lambdaM: number,
): { cosine: SideTransform; even: SideTransform } {
  return {
    cosine: computeSideTransform(sideM, slantM, lambdaM, (place) => Math.cos((Math.PI / 2) * place)),
    even: computeSideTransform(sideM, slantM, lambdaM, () => 1),
  };
}

/** Tabulated over the component from 0 to 1, fine enough to be read linearly within 0.003 dB. */
function computeSideTransform(
  sideM: number,
  slantM: number,
  lambdaM: number,
  light: (place: number) => number,
): SideTransform {
  const half = sideM / 2;
  const waves = (2 * Math.PI) / lambdaM;
  const axisM = Math.sqrt(slantM ** 2 - half ** 2);
  const steps = 64 * Math.ceil(sideM / lambdaM + 1);
  const panels = 24 + 4 * Math.ceil(sideM / lambdaM + (slantM - axisM) / lambdaM);
  const table = new Float64Array(2 * (steps + 2));
  for (let i = 0; i <= 2 * panels; i++) {
    const place = i / (2 * panels);
    const end = i === 0 || i === 2 * panels;
    const amplitude = (end ? 1 : i % 2 === 1 ? 4 : 2) * light(place);
    const lag = waves * (Math.hypot(axisM, half * place) - axisM);
    const [re, im] = [amplitude * Math.cos(lag), -amplitude * Math.sin(lag)];
    for (let j = 0; j < steps + 2; j++) {
      const both = Math.cos(waves * half * place * (j / steps));
      table[2 * j] += re * both;
      table[2 * j + 1] += im * both;
    }
  }
  return (component, out) => {
    const place = Math.abs(component) * steps;
    const j = Math.floor(place);
    const t = place - j;
    out[0] = table[2 * j] + t * (table[2 * j + 2] - table[2 * j]);
    out[1] = table[2 * j + 1] + t * (table[2 * j + 3] - table[2 * j + 1]);
  };
}

/** Throws as `createPyramidalHornPattern` does. */
export function checkPyramidalHorn(description: PyramidalHornDescription, frequencyGhz: number, pointer: string): void {
  const problems: FieldProblem[] = [];
  for (const [side, slant] of [
    ["widthM", "slantLengthHM"],
    ["heightM", "slantLengthEM"],
  ] as const) {
    const wavelengths = description[side] / computeWavelengthM(frequencyGhz);
    if (!(wavelengths >= 0.6 && wavelengths <= 64)) {
      const detail = `the side is ${wavelengths.toFixed(2)} wavelengths long, not 0.6 to 64`;
      problems.push({ pointer: `${pointer}/${side}`, detail, limit: "0.6 to 64 wavelengths" });
    }
    if (!(description[slant] > description[side] / 2)) {
      const detail = `must be longer than half of ${side}, got ${description[slant]} m`;
      problems.push({ pointer: `${pointer}/${slant}`, detail, limit: description[side] / 2 });
    }
  }
  if (problems.length > 0) throw new InputError(problems);
  checkSize(description, frequencyGhz, pointer);
}
