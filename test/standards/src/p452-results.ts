import {
  combineLosses,
  computeDuctingLossDb,
  computeEffectiveEarthRadiusKm,
  computeLineOfSightLossDb,
  computePathCentreLatitudeDeg,
  computeRadioClimate,
  computeTimeInterpolationFactor,
  findPathParameters,
  measureZones,
  type PathParameters,
  type RadioClimate,
  type RadioZone,
  type ZoneLengths,
} from "@fellmark/propagation";
import { MEAN_EARTH_RADIUS_KM, SPEED_OF_LIGHT_M_S } from "@fellmark/units";
import { type CsvRow, csvRows, type DataFile } from "./data-files.ts";
import { type FileFormat, folderLabel } from "./format.ts";
import {
  PUBLISHED_WAVELENGTH_GHZ_M,
  type PublishedPath,
  publishedLoss,
  publishedProfile,
  zonesOfCodes,
} from "./published-path.ts";
import type { Outcome } from "./report.ts";

/** Columns that need the gases of P.676 line by line, which the product does not have. */
const OUT_OF_SCOPE = ["Lbfsg", "Lbs"];

/** Earth radius exceeded for beta0 % of the time, km. Source: ITU-R P.452-18, Annex 1, section 3.2, eq (6b). */
const BETA_EARTH_RADIUS_KM = 3 * MEAN_EARTH_RADIUS_KM;

/** What is asked of diffraction when the exact speed of light stands for that of the published numbers, dB. */
const EXACT_SPEED_TOLERANCE_DB = 1e-3;

/** Width of the step of Fj, mrad or m/km. Source: ITU-R P.452-18, section 4.6, and P.1812-6, section 4.6, eq (57). */
const STEP_WIDTH_MRAD = 0.3;

/** Radio-climatic codes of a profile, as the head of its last column has them. */
const ZONE_OF_CODE: Readonly<Record<string, RadioZone>> = { "1": "coastal-land", "2": "inland", "3": "sea" };

/** Result files of P.452-18, one row a path; the profile stands in ../profiles. */
export const p452Results: FileFormat = {
  recognises: ({ header }) => header.startsWith("profile,f (GHz)") && header.includes("Ld50"),
  *check(file, folder) {
    const label = folderLabel(file.path);
    const rows = csvRows(file);
    // The name of the file tells the profile: its column "profile" names another one in a published file.
    const profilePath = file.path.replace("results/test_result_", "profiles/test_profile_");
    const profile = folder.find(profilePath);
    if (!profile) {
      yield { file: label, quantity: "all", n: rows.length, reason: `the profile ${profilePath} is absent` };
      return;
    }
    for (const [i, row] of rows.entries()) yield* checkRow(`${file.path}#${i + 1}`, label, row, profile);
    for (const quantity of OUT_OF_SCOPE) {
      yield { file: label, quantity, n: rows.length, reason: "it needs the gases of P.676 line by line" };
    }
  },
};

/** Profiles of the P.452-18 result files, read with their results. */
export const p452Profiles: FileFormat = {
  recognises: ({ header }) => header.startsWith("d (km),h(m),"),
  *check() {},
};

function* checkRow(id: string, file: string, row: CsvRow, profile: DataFile): Iterable<Outcome> {
  const path = pathOf(row, profile);
  const geometry = geometryOf(path, row, profile);
  for (const [quantity, got] of Object.entries({ ...pathFigures(geometry), ...lossFigures(path, row, geometry) })) {
    yield { file, quantity, id, expected: Number(row[quantity]), got, tolerance: 1e-6 };
  }
  // DN is printed to 1e-6, which leaves 4e-5 km in ae.
  const radiusKm = computeEffectiveEarthRadiusKm(Number(row.DN));
  yield { file, quantity: "ae", id, expected: Number(row.ae), got: radiusKm, tolerance: 1e-4 };
  const exact = publishedLoss(path, SPEED_OF_LIGHT_M_S / 1e9);
  for (const [name, got] of Object.entries({ Ldsph: exact.sphericalDb, Ld50: exact.lossDb })) {
    const quantity = `${name}, exact speed of light`;
    yield { file, quantity, id, expected: Number(row[name]), got, tolerance: EXACT_SPEED_TOLERANCE_DB };
  }
}

interface Geometry {
  parameters: PathParameters;
  zones: ZoneLengths;
  climate: RadioClimate;
}

/** Geometry and climate of a path: P.452 and P.1812 derive them alike. */
function geometryOf(path: PublishedPath, row: CsvRow, profile: DataFile): Geometry {
  const { txHeightAglM, rxHeightAglM, effectiveEarthRadiusKm: radiusKm, frequencyGhz } = path;
  const published = publishedProfile(path);
  const wavelengthM = PUBLISHED_WAVELENGTH_GHZ_M / frequencyGhz;
  const parameters = findPathParameters(published, txHeightAglM, rxHeightAglM, radiusKm, wavelengthM);
  const zones = measureZones(published.distanceM, zonesOf(profile));
  const centreDeg = computePathCentreLatitudeDeg(
    { lonDeg: Number(row["phit_e (deg)"]), latDeg: Number(row["phit_n (deg)"]) },
    { lonDeg: Number(row["phir_e (deg)"]), latDeg: Number(row["phir_n (deg)"]) },
    parameters.pathKm,
  );
  return { parameters, zones, climate: computeRadioClimate(centreDeg, zones) };
}

/** Geometry and climate by the names of their columns. */
function pathFigures({ parameters, zones, climate }: Geometry): Record<string, number> {
  return {
    dtot: parameters.pathKm,
    hts: parameters.txAmslM,
    hrs: parameters.rxAmslM,
    theta_t: parameters.tx.elevationMrad,
    theta_r: parameters.rx.elevationMrad,
    theta: parameters.angularDistanceMrad,
    hm: parameters.roughnessM,
    hte: parameters.effectiveTxHeightM,
    hre: parameters.effectiveRxHeightM,
    dlt: parameters.tx.distanceKm,
    dlr: parameters.rx.distanceKm,
    dtm: zones.longestLandKm,
    dlm: zones.longestInlandKm,
    omega: zones.seaFraction,
    b0: climate.beta0Percent,
  };
}

/** Losses by the names of their columns. The gases are taken from the printed Lbfsg, troposcatter as printed. */
function lossFigures(path: PublishedPath, row: CsvRow, geometry: Geometry): Record<string, number> {
  const { parameters, climate } = geometry;
  const { beta0Percent } = climate;
  const timePercent = Number(row["p (%)"]);
  const fi = computeTimeInterpolationFactor(timePercent, beta0Percent);
  const median = publishedLoss(path, PUBLISHED_WAVELENGTH_GHZ_M);
  const beta = publishedLoss({ ...path, effectiveEarthRadiusKm: BETA_EARTH_RADIUS_KM }, PUBLISHED_WAVELENGTH_GHZ_M);
  const horizons = { txHorizonKm: parameters.tx.distanceKm, rxHorizonKm: parameters.rx.distanceKm };
  const sight = { ...parameters, ...horizons, frequencyGhz: path.frequencyGhz };
  const lbfsgDb = Number(row.Lbfsg);
  const gasesDb = lbfsgDb - computeLineOfSightLossDb(sight, 50);
  const lb0pDb = computeLineOfSightLossDb(sight, timePercent) + gasesDb;
  const lb0BetaDb = computeLineOfSightLossDb(sight, beta0Percent) + gasesDb;
  const ldpDb = median.lossDb + (beta.lossDb - median.lossDb) * fi;
  const coast = { txCoastKm: Number(row["dct (km)"]), rxCoastKm: Number(row["dcr (km)"]) };
  // The gases of Lbfsg lie along the slant, those of Lba along the ground.
  const slantKm = Math.hypot(parameters.pathKm, (parameters.txAmslM - parameters.rxAmslM) / 1000);
  const groundGasesDb = (gasesDb * parameters.pathKm) / slantKm;
  const lbaDb = computeDuctingLossDb({ ...path, ...coast, path: parameters, climate, timePercent }) + groundGasesDb;
  const sums = { lbd50Db: lbfsgDb + median.lossDb, lbdDb: lb0pDb + ldpDb, lbsDb: Number(row.Lbs) };
  const losses = { lb0pDb, lb0BetaDb, ldpDb, lbaDb, ...sums };
  const shares = { seaFraction: path.seaFraction, timePercent, beta0Percent, fi };
  const angularDistanceMrad = STEP_WIDTH_MRAD + slopeOverSight(path, parameters);
  return {
    hstd: median.smoothTxAmslM,
    hsrd: median.smoothRxAmslM,
    Lb0p: lb0pDb,
    Lb0b: lb0BetaDb,
    Ldsph: median.sphericalDb,
    Ld50: median.lossDb,
    Ldp: ldpDb,
    Lba: lbaDb,
    Lb: combineLosses({ ...parameters, ...shares, angularDistanceMrad, losses }).lbcDb,
  };
}

/**
 * Steepest slope from the transmitter to the bare ground over the slope of the sight line, m/km: what P.452 compares
 * with 0 where P.1812 compares the angular distance with STEP_WIDTH_MRAD.
 * Source: ITU-R P.452-18, Annex 1, section 4.6, Fj.
 */
function slopeOverSight(path: PublishedPath, { pathKm, txAmslM, rxAmslM }: PathParameters): number {
  const { distanceKm, groundAmslM, effectiveEarthRadiusKm: radiusKm } = path;
  const slopes = distanceKm.slice(1, -1).map((km, i) => {
    const raisedM = groundAmslM[i + 1] + (500 * km * (pathKm - km)) / radiusKm;
    return (raisedM - txAmslM) / km;
  });
  return slopes.reduce((a, b) => Math.max(a, b), -Infinity) - (rxAmslM - txAmslM) / pathKm;
}

function pathOf(row: CsvRow, profile: DataFile): PublishedPath {
  const points = csvRows(profile).map((point) => Object.values(point));
  return {
    distanceKm: points.map((point) => Number(point[0])),
    groundAmslM: points.map((point) => Number(point[1])),
    clutterM: points.map((point) => Number(point[2])),
    clutterRule: "beyond-50-m",
    txHeightAglM: Number(row["htg (m)"]),
    rxHeightAglM: Number(row["hrg (m)"]),
    frequencyGhz: Number(row["f (GHz)"]),
    effectiveEarthRadiusKm: Number(row.ae),
    polarisation: row["pol (1-h/2-v)"] === "1" ? "horizontal" : "vertical",
    seaFraction: Number(row.omega),
  };
}

function zonesOf(profile: DataFile): RadioZone[] {
  const codes = csvRows(profile).map((point) => Object.values(point)[4]);
  return zonesOfCodes(codes, ZONE_OF_CODE, profile.path);
}
