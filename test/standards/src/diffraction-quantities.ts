import {
  computeAverageTerrainLossDb,
  computeDiffractionParameter,
  computeExactKnifeEdgeLossDb,
  computeFirstTermLossDb,
  computeKnifeEdgeLossDb,
  computeSmoothEarthHeights,
  type DiffractionResult,
} from "@fellmark/propagation";
import { computeWavelengthM } from "@fellmark/units";
import {
  type CheckRow,
  type Got,
  type Inputs,
  numberOf,
  pointsOf,
  polarisationOf,
  type Quantities,
} from "./check-inputs.ts";
import { type PublishedPath, publishedLoss } from "./published-path.ts";

/** Diffraction quantities of the checks files by their names. */
export const DIFFRACTION_QUANTITIES: Quantities = {
  "single knife edge J(v), approximation": (inputs) => computeKnifeEdgeLossDb(numberOf(inputs, "v")),
  "single knife edge, Fresnel integral": (inputs) => computeExactKnifeEdgeLossDb(numberOf(inputs, "v")),
  "J(0) approx vs 6.0206 exact": (inputs) => computeKnifeEdgeLossDb(numberOf(inputs, "v")),
  "knife edge loss from geometry (flat Earth)": edgeFromGeometry,
  "smooth Earth Lbulla": (inputs) => lossOf(inputs).bullingtonActualDb,
  "smooth Earth Lbulls": (inputs) => lossOf(inputs).bullingtonSmoothDb,
  "smooth Earth Ldsph": (inputs) => lossOf(inputs).sphericalDb,
  "smooth Earth Ld": (inputs) => lossOf(inputs).lossDb,
  "delta-Bullington on a 3-point ridge": everyIntermediate,
  "delta-Bullington on a 7-point hilly profile": everyIntermediate,
  "Ld(profile) - Ld(reversed profile, heights swapped)": greatestAsymmetry,
  "spherical-Earth first-term loss (land)": firstTerm,
  "P.530 average-terrain diffraction loss Ad=-20h/F1+10": averageTerrain,
};

function edgeFromGeometry(inputs: Inputs): Got {
  const [d1M, d2M] = [numberOf(inputs, "d1_km") * 1000, numberOf(inputs, "d2_km") * 1000];
  const lambdaM = computeWavelengthM(numberOf(inputs, "f_GHz"));
  return computeKnifeEdgeLossDb(computeDiffractionParameter(numberOf(inputs, "h_m"), d1M, d2M, lambdaM));
}

function averageTerrain(inputs: Inputs): Got {
  const [d1M, d2M] = [numberOf(inputs, "d1_km") * 1000, numberOf(inputs, "d2_km") * 1000];
  return computeAverageTerrainLossDb(numberOf(inputs, "clearance_m"), d1M, d2M, numberOf(inputs, "f_GHz"));
}

function pathOf(inputs: Inputs): PublishedPath {
  const points = pointsOf(inputs);
  return {
    ...points,
    clutterM: points.distanceKm.map(() => 0),
    clutterRule: "interior",
    txHeightAglM: numberOf(inputs, "htg_m"),
    rxHeightAglM: numberOf(inputs, "hrg_m"),
    frequencyGhz: numberOf(inputs, "f_GHz"),
    effectiveEarthRadiusKm: numberOf(inputs, "a_p_km"),
    polarisation: polarisationOf(inputs),
    seaFraction: numberOf(inputs, "sea_fraction"),
  };
}

function lossOf(inputs: Inputs): DiffractionResult {
  return publishedLoss(pathOf(inputs), numberOf(inputs, "lambda_m") * numberOf(inputs, "f_GHz"));
}

function everyIntermediate(inputs: Inputs): Got {
  const loss = lossOf(inputs);
  const { distanceKm, groundAmslM } = pointsOf(inputs);
  const fit = computeSmoothEarthHeights({
    distanceM: Float64Array.from(distanceKm, (km) => km * 1000),
    bareAmslM: Float64Array.from(groundAmslM),
    txAmslM: groundAmslM[0] + numberOf(inputs, "htg_m"),
    rxAmslM: (groundAmslM.at(-1) as number) + numberOf(inputs, "hrg_m"),
  });
  return {
    Lbulla: loss.bullingtonActualDb,
    Lbulls: loss.bullingtonSmoothDb,
    Ldsph: loss.sphericalDb,
    Ld: loss.lossDb,
    v: loss.nu,
    case: loss.transHorizon ? "TransHorizon" : "LoS",
    hst: fit.fitTxAmslM,
    hsr: fit.fitRxAmslM,
    hstd: loss.smoothTxAmslM,
    hsrd: loss.smoothRxAmslM,
  };
}

/** The property row names other rows by the start of their id, as "ridge-*". */
function greatestAsymmetry(inputs: Inputs, rows: CheckRow[]): Got {
  const start = String(inputs.cases).replace(/\*$/, "");
  const differences = rows
    .filter((row) => row.id.startsWith(start))
    .map(({ inputs: path }) => {
      const { distanceKm, groundAmslM } = pointsOf(path);
      const pathKm = distanceKm.at(-1) as number;
      const reversed = {
        ...path,
        d_km: distanceKm.map((km) => pathKm - km).reverse(),
        h_m: groundAmslM.toReversed(),
        htg_m: path.hrg_m,
        hrg_m: path.htg_m,
      };
      return Math.abs(lossOf(path).lossDb - lossOf(reversed).lossDb);
    });
  return differences.length === 0 ? Number.NaN : Math.max(...differences);
}

function firstTerm(inputs: Inputs): Got {
  return computeFirstTermLossDb({
    distanceM: numberOf(inputs, "d_km") * 1000,
    txHeightM: numberOf(inputs, "hte_m"),
    rxHeightM: numberOf(inputs, "hre_m"),
    frequencyGhz: numberOf(inputs, "f_GHz"),
    polarisation: polarisationOf(inputs),
    radiusM: numberOf(inputs, "a_km") * 1000,
    ground: "land",
  });
}
