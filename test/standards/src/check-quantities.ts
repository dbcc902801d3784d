import {
  computeEarthBulgeM,
  computeEffectiveEarthRadiusKm,
  computeFreeSpaceLossDb,
  computeFresnelRadiusM,
  computeInverseComplementaryNormal,
  computeLocationVariabilityDb,
  computeOxygenAttenuationDbPerKm,
  computeRainAttenuationDbPerKm,
  computeRainCoefficients,
  computeRainFadeDb,
  computeStatisticalClutterLossDb,
  computeWaterAttenuationDbPerKm,
} from "@fellmark/propagation";
import { computeNoiseDbm, computeNoiseRiseDb, NOISE_DENSITY_DBM_PER_HZ } from "@fellmark/radio";
import { sumDbm } from "@fellmark/units";
import { ANTENNA_QUANTITIES } from "./antenna-quantities.ts";
import { type Got, type Inputs, numberOf, type Quantities } from "./check-inputs.ts";
import { DIFFRACTION_QUANTITIES } from "./diffraction-quantities.ts";

/** The function of the product behind a quantity of the checks files; undefined: there is none yet. */
export function quantityFunction(quantity: string): Quantities[string] | undefined {
  const name = Object.keys(CHECK_QUANTITIES).find(
    (one) => one === quantity || (one.endsWith("*") && quantity.startsWith(one.slice(0, -1))),
  );
  return name === undefined ? undefined : CHECK_QUANTITIES[name];
}

const CHECK_QUANTITIES: Quantities = {
  ...ANTENNA_QUANTITIES,
  ...DIFFRACTION_QUANTITIES,
  "free-space loss": (inputs) => computeFreeSpaceLossDb(metres(inputs, "d_km"), numberOf(inputs, "f_GHz")),
  "20log10(4 pi 1e12/c) for km,GHz": () => computeFreeSpaceLossDb(1000, 1),
  "first Fresnel zone radius": (inputs) =>
    computeFresnelRadiusM(metres(inputs, "d1_km"), metres(inputs, "d2_km"), numberOf(inputs, "f_GHz")),
  "k50 and effective Earth radius": (inputs) => computeEffectiveEarthRadiusKm(numberOf(inputs, "deltaN")),
  "Earth bulge 500 d1 d2 /ae (m)": (inputs) =>
    computeEarthBulgeM(metres(inputs, "d1_km"), metres(inputs, "d2_km"), metres(inputs, "ae_km")),
  "location variability sigma": (inputs) =>
    computeLocationVariabilityDb({
      frequencyGhz: numberOf(inputs, "f_GHz"),
      widthM: numberOf(inputs, "wa_m"),
      antennaHeightAglM: numberOf(inputs, "h_m"),
      clutterHeightM: numberOf(inputs, "R_m"),
    }),
  "inverse complementary cumulative normal": (inputs) => computeInverseComplementaryNormal(share(inputs)),
  "P.676-10 Annex 2 simplified gamma_o, gamma_w": gas,
  "rain k, alpha (H,V)": rainCurves,
  "rain specific attenuation": rainAttenuations,
  "rain attenuation exceeded 0.01% (V)": rainFade,
  "terrestrial statistical clutter loss": (inputs) =>
    computeStatisticalClutterLossDb(metres(inputs, "d_km"), numberOf(inputs, "f_GHz"), share(inputs)),
  "thermal noise density at 290 K": () => NOISE_DENSITY_DBM_PER_HZ,
  "noise floor": (inputs) => computeNoiseDbm(numberOf(inputs, "B_Hz") / 1e6, numberOf(inputs, "NF_dB")),
  "noise rise 10log(1+I/N)": (inputs) => computeNoiseRiseDb(numberOf(inputs, "I_over_N_dB")),
  "sum of interferers": (inputs) => sumDbm(inputs.dBm as number[]),
};

function metres(inputs: Inputs, name: string): number {
  return numberOf(inputs, name) * 1000;
}

function share(inputs: Inputs): number {
  return numberOf(inputs, "p_percent") / 100;
}

function gas(inputs: Inputs): Got {
  const air = {
    pressureHpa: numberOf(inputs, "P_hPa"),
    temperatureC: numberOf(inputs, "t_C"),
    waterVapourGM3: numberOf(inputs, "rho_g_m3"),
  };
  const frequencyGhz = numberOf(inputs, "f_GHz");
  return {
    gamma_o: computeOxygenAttenuationDbPerKm(frequencyGhz, air),
    gamma_w: computeWaterAttenuationDbPerKm(frequencyGhz, air),
  };
}

function rainCurves(inputs: Inputs): Got {
  const h = computeRainCoefficients(numberOf(inputs, "f_GHz"), "horizontal");
  const v = computeRainCoefficients(numberOf(inputs, "f_GHz"), "vertical");
  return { kH: h.k, alphaH: h.alpha, kV: v.k, alphaV: v.alpha };
}

function rainAttenuations(inputs: Inputs): Got {
  const rate = numberOf(inputs, "R_mm_h");
  const at = (polarisation: "horizontal" | "vertical") =>
    computeRainAttenuationDbPerKm(rate, computeRainCoefficients(numberOf(inputs, "f_GHz"), polarisation));
  return { H: at("horizontal"), V: at("vertical") };
}

function rainFade(inputs: Inputs): Got {
  const frequencyGhz = numberOf(inputs, "f_GHz");
  const rainMmPerHour = numberOf(inputs, "R001_mm_h");
  const distanceM = metres(inputs, "d_km");
  const gammaR = computeRainAttenuationDbPerKm(rainMmPerHour, computeRainCoefficients(frequencyGhz, "vertical"));
  const A001 = computeRainFadeDb({ distanceM, frequencyGhz, rainMmPerHour, polarisation: "vertical" });
  return { gammaR, A001, r: A001 / (gammaR * (distanceM / 1000)) };
}
