import { computeChebyshevWeights, createCosineOnPedestal } from "@fellmark/antenna";
import {
  type ApertureParameters,
  computeAiryPowerWithin,
  computeSincMainLobePower,
  createCosinePower,
  createParabolicPower,
  findZeroOfJ1,
  type Illumination,
  measureLineAperture,
  measureRoundAperture,
  TRIANGULAR,
  UNIFORM,
} from "./antenna-theory/apertures.ts";
import { computeArrayFactor, computeBinomialWeights } from "./antenna-theory/uniform-array.ts";
import { type Got, type Inputs, numberOf, type Quantities } from "./check-inputs.ts";

/** Quantities of apertures and tapered arrays. */
export const APERTURE_QUANTITIES: Quantities = {
  "first zero of J1": () => findZeroOfJ1(1),
  "fraction of Airy power inside first null": () => computeAiryPowerWithin(findZeroOfJ1(1)),
  "fraction inside second null": () => computeAiryPowerWithin(findZeroOfJ1(2)),
  "power of uniform line-source in the main lobe (per dimension)": () => computeSincMainLobePower(),
  "circular aperture*": roundTaper,
  "line source / rectangular aperture taper*": lineTaper,
  "Dolph-Chebyshev weights*": chebyshevHalf,
  "binomial array*": binomial,
};

/** The taper stands in the inputs as "(1-r^2)^n". */
function roundTaper(inputs: Inputs): Got {
  const power = /^\(1-r\^2\)\^(\d+(?:\.\d+)?)$/.exec(String(inputs.taper));
  const parameters = measureRoundAperture(createParabolicPower(Number(power?.[1])));
  return {
    ...named(parameters, "D"),
    first_null_lambda_over_D_rad: parameters.firstNullRad,
    aperture_efficiency: parameters.efficiency,
  };
}

function lineTaper(inputs: Inputs): Got {
  const parameters = measureLineAperture(illuminationOf(String(inputs.taper)));
  return {
    ...named(parameters, "L"),
    first_null_lambda_over_L: parameters.firstNullRad,
    taper_efficiency: parameters.efficiency,
  };
}

function illuminationOf(taper: string): Illumination {
  const pedestal = /^cosine on (-?[\d.]+) dB pedestal$/.exec(taper);
  if (pedestal) return createCosineOnPedestal(Math.abs(Number(pedestal[1])));
  const known: Record<string, Illumination> = {
    uniform: UNIFORM,
    cosine: createCosinePower(1),
    "cosine squared": createCosinePower(2),
    triangular: TRIANGULAR,
  };
  if (!(taper in known)) throw new Error(`no taper of the name ${taper}`);
  return known[taper];
}

function named(parameters: ApertureParameters, size: "D" | "L"): Record<string, number> {
  return {
    first_sidelobe_dB: parameters.firstSideLobeDb,
    [`HPBW_lambda_over_${size}_rad`]: parameters.halfPowerWidthRad,
    [`HPBW_deg_lambda_over_${size}`]: parameters.halfPowerWidthDeg,
  };
}

/** From the edge to the middle, the edge 1. */
function chebyshevHalf(inputs: Inputs): Got {
  const count = numberOf(inputs, "N");
  return computeChebyshevWeights(count, Math.abs(numberOf(inputs, "sll_dB"))).slice(0, Math.ceil(count / 2));
}

/** The weights, and the form of the array factor at half a wavelength where it holds in every direction. */
function binomial(inputs: Inputs): Got {
  const weights = computeBinomialWeights((inputs.weights as number[]).length);
  const power = weights.length - 1;
  const sines = Array.from({ length: 101 }, (_, i) => i / 100);
  const differences = sines.map((sine) =>
    Math.abs(computeArrayFactor(weights, 0.5, sine) / 2 ** power - Math.cos((Math.PI / 2) * sine) ** power),
  );
  const form = Math.max(...differences) < 1e-12 ? `AF=cos^${power}(pi/2 sin theta)` : "no power of a cosine";
  return [...weights, form];
}
