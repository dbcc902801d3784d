import {
  computeF699GainDbi,
  computeF1245GainDbi,
  computeF1336ElevationWidthDeg,
  computeSphereMean,
  createIsotropicPattern,
  createSectoralGain,
  createTr38901Pattern,
  type DishReference,
} from "@fellmark/antenna";
import {
  computeApertureGainDbi,
  computeConeShare,
  computeCosinePowerBeamEfficiency,
  computeCosinePowerDirectivity,
  computeDipoleDirectivity,
  computeFarFieldDistanceM,
  computeOptimumPyramidalHornGainDbi,
  computePolarisationMismatchDb,
  convertErpToEirpDbm,
  estimateDirectivity,
} from "./antenna-theory/directivity.ts";
import { computeF699GainFromWidthDbi, computeF1245SingleEntryGainDbi } from "./antenna-theory/dish-reference.ts";
import { computeSteeringPhaseDeg, findLowerNullDeg, measureBroadsideArray } from "./antenna-theory/uniform-array.ts";
import { APERTURE_QUANTITIES } from "./aperture-quantities.ts";
import { type Got, type Inputs, numberOf, type Quantities } from "./check-inputs.ts";
import { dishMean, sectoralMean } from "./reference-means.ts";

/** Antenna quantities of the checks files by their names. */
export const ANTENNA_QUANTITIES: Quantities = {
  ...APERTURE_QUANTITIES,
  "F.699 peak envelope gain": (inputs) => computeF699GainDbi(dishOf(inputs), numberOf(inputs, "phi_deg")),
  "F.1245 average side-lobe gain": (inputs) => computeF1245GainDbi(dishOf(inputs), numberOf(inputs, "phi_deg")),
  "F.1245 single-entry (recommends 3) gain": (inputs) =>
    computeF1245SingleEntryGainDbi(dishOf(inputs), numberOf(inputs, "phi_deg")),
  "G from beamwidth, G=44.5-20log(theta)": (inputs) => computeF699GainFromWidthDbi(numberOf(inputs, "theta_deg")),
  "F.1336 sectoral peak side-lobe gain": (inputs) =>
    createSectoralGain(sectorOf(inputs))(numberOf(inputs, "phi_deg"), numberOf(inputs, "theta_deg")),
  "theta3 = 31000*10^(-0.1 G0)/phi3": (inputs) =>
    computeF1336ElevationWidthDeg(numberOf(inputs, "G0_dBi"), numberOf(inputs, "phi3_deg")),
  "mean of F.1336 gain over the sphere (1 = lossless)": (inputs) => sectoralMean(sectorOf(inputs)),
  "mean of F.699 gain over the sphere": (inputs) => dishMean(computeF699GainDbi, dishOf(inputs)),
  "mean of F.1245 avg gain over the sphere": (inputs) => dishMean(computeF1245GainDbi, dishOf(inputs)),
  "mean of F.1245 rec3 gain over the sphere": (inputs) => dishMean(computeF1245SingleEntryGainDbi, dishOf(inputs)),
  "TR 38.901 element gain": (inputs) =>
    createTr38901Pattern().gainDbi(numberOf(inputs, "phi_deg"), 90 - numberOf(inputs, "theta_deg"), 0),
  "mean of the 38.901 element gain over the sphere (linear; 1 would be lossless)": () =>
    computeSphereMean(createTr38901Pattern()),
  "isotropic directivity": () => 1 / computeSphereMean(createIsotropicPattern(0)),
  "short dipole directivity": () => computeDipoleDirectivity(0),
  "half-wave dipole directivity": () => computeDipoleDirectivity(0.5),
  "directivity of U=cos^n(theta), front hemisphere": (inputs) => computeCosinePowerDirectivity(numberOf(inputs, "n")),
  "beam efficiency inside theta1 of cos^n pattern": (inputs) =>
    computeCosinePowerBeamEfficiency(numberOf(inputs, "n"), numberOf(inputs, "theta1_deg")),
  "beam efficiency of isotropic in cone theta1": (inputs) => computeConeShare(numberOf(inputs, "theta1_deg")),
  "uniform broadside array*": uniformArray,
  "progressive phase for steering*": (inputs) =>
    computeSteeringPhaseDeg(numberOf(inputs, "d_over_lambda"), numberOf(inputs, "tilt_deg")),
  "first lower null of*": (inputs) => findLowerNullDeg(arrayOf(inputs), numberOf(inputs, "tilt_deg")),
  "directivity approximations from half-power widths": fromWidths,
  "G=eta (pi D/lambda)^2": (inputs) =>
    computeApertureGainDbi(numberOf(inputs, "D_m"), numberOf(inputs, "f_GHz"), numberOf(inputs, "eta")),
  "optimum pyramidal horn gain 0.51*4 pi A/lambda^2": (inputs) =>
    computeOptimumPyramidalHornGainDbi(numberOf(inputs, "a_lambda"), numberOf(inputs, "b_lambda")),
  "e.i.r.p. = e.r.p. + 2.15 dB": () => convertErpToEirpDbm(0),
  "far-field distance 2D^2/lambda": (inputs) =>
    computeFarFieldDistanceM(numberOf(inputs, "D_m"), numberOf(inputs, "f_GHz")),
  "polarisation mismatch of linear antennas at angle": (inputs) =>
    computePolarisationMismatchDb(numberOf(inputs, "angle_deg")),
};

function dishOf(inputs: Inputs): DishReference {
  const [gainDbi, diameterM] = [numberOf(inputs, "Gmax_dBi"), numberOf(inputs, "D_m")];
  return { gainDbi, diameterM, frequencyGhz: numberOf(inputs, "f_GHz") };
}

/** The form stands in `kind`, as "average improved"; a row without it asks for the peaks. */
function sectorOf(inputs: Inputs): Parameters<typeof createSectoralGain>[0] {
  return {
    gainDbi: numberOf(inputs, "G0_dBi"),
    azimuthWidthDeg: numberOf(inputs, "phi3_deg"),
    elevationWidthDeg: numberOf(inputs, "theta3_deg"),
    form: String(inputs.kind ?? "").startsWith("average") ? "average" : "peak",
    kp: inputs.kp === undefined ? 0.7 : numberOf(inputs, "kp"),
    kh: numberOf(inputs, "kh"),
    kv: numberOf(inputs, "kv"),
  };
}

function arrayOf(inputs: Inputs): { count: number; spacing: number } {
  return { count: numberOf(inputs, "N"), spacing: numberOf(inputs, "d_over_lambda") };
}

function uniformArray(inputs: Inputs): Got {
  const { firstNullDeg, halfPowerWidthDeg, firstSideLobeDb, directivity } = measureBroadsideArray(arrayOf(inputs));
  return {
    first_null_deg: firstNullDeg,
    HPBW_deg: halfPowerWidthDeg,
    first_sidelobe_dB: Number.isNaN(firstSideLobeDb) ? null : firstSideLobeDb,
    directivity,
  };
}

function fromWidths(inputs: Inputs): Got {
  const widths = estimateDirectivity(numberOf(inputs, "theta_deg"), numberOf(inputs, "phi_deg"));
  return {
    Kraus_41253: widths.krausDbi,
    TaiPereira_72815: widths.taiPereiraDbi,
    F1336_31000: widths.f1336Dbi,
    Stutzman_26000: widths.stutzmanDbi,
  };
}
