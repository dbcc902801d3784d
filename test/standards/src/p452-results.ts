import {
  effectiveEarthRadiusKm,
  lineOfSightLossDb,
  type PathParameters,
  pathCentreLatitudeDeg,
  pathParameters,
  type RadioZone,
  radioClimate,
  timeInterpolationFactor,
  zoneLengths,
} from "@fellmark/propagation";
import { MEAN_EARTH_RADIUS_KM, SPEED_OF_LIGHT_M_S } from "@fellmark/units";
import { type CsvRow, csvRows, type DataFile } from "./data-files.ts";
import { type FileFormat, folderLabel } from "./format.ts";
import { PUBLISHED_WAVELENGTH_GHZ_M, type PublishedPath, publishedLoss, publishedProfile } from "./published-path.ts";
import type { Outcome } from "./report.ts";

/** Columns that need the gases of P.676 line by line, which the product does not have. */
const OUT_OF_SCOPE = ["Lb", "Lbfsg", "Lbs", "Lba"];

/** Earth radius exceeded for beta0 % of the time, km. Source: ITU-R P.452-18, Annex 1, section 3.2, eq (6b). */
const BETA_EARTH_RADIUS_KM = 3 * MEAN_EARTH_RADIUS_KM;

/** What is asked of diffraction when the exact speed of light stands for that of the published numbers, dB. */
const EXACT_SPEED_TOLERANCE_DB = 1e-3;

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
  const figures = pathFigures(path, row, profile);
  for (const [quantity, got] of Object.entries({ ...figures, ...lossFigures(path, row, figures.b0) })) {
    yield { file, quantity, id, expected: Number(row[quantity]), got, tolerance: 1e-6 };
  }
  // DN is printed to 1e-6, which leaves 4e-5 km in ae.
  const radiusKm = effectiveEarthRadiusKm(Number(row.DN));
  yield { file, quantity: "ae", id, expected: Number(row.ae), got: radiusKm, tolerance: 1e-4 };
  const exact = publishedLoss(path, SPEED_OF_LIGHT_M_S / 1e9);
  for (const [name, got] of Object.entries({ Ldsph: exact.sphericalDb, Ld50: exact.lossDb })) {
    const quantity = `${name}, exact speed of light`;
    yield { file, quantity, id, expected: Number(row[name]), got, tolerance: EXACT_SPEED_TOLERANCE_DB };
  }
}

/** Geometry and climate by the names of their columns: P.452 and P.1812 derive them alike. */
function pathFigures(path: PublishedPath, row: CsvRow, profile: DataFile) {
  const { distanceM } = publishedProfile(path);
  const { tx, rx, ...parameters } = parametersOf(path);
  const zones = zoneLengths(distanceM, zonesOf(profile));
  const centreDeg = pathCentreLatitudeDeg(
    { lonDeg: Number(row["phit_e (deg)"]), latDeg: Number(row["phit_n (deg)"]) },
    { lonDeg: Number(row["phir_e (deg)"]), latDeg: Number(row["phir_n (deg)"]) },
    parameters.pathKm,
  );
  return {
    dtot: parameters.pathKm,
    hts: parameters.txAmslM,
    hrs: parameters.rxAmslM,
    theta_t: tx.elevationMrad,
    theta_r: rx.elevationMrad,
    theta: parameters.angularDistanceMrad,
    hm: parameters.roughnessM,
    hte: parameters.effectiveTxHeightM,
    hre: parameters.effectiveRxHeightM,
    dlt: tx.distanceKm,
    dlr: rx.distanceKm,
    dtm: zones.longestLandKm,
    dlm: zones.longestInlandKm,
    omega: zones.seaFraction,
    b0: radioClimate(centreDeg, zones).beta0Percent,
  };
}

/** Losses by the names of their columns; those in sight stand on the printed loss of free space with gases. */
function lossFigures(path: PublishedPath, row: CsvRow, beta0Percent: number) {
  const timePercent = Number(row["p (%)"]);
  const median = publishedLoss(path, PUBLISHED_WAVELENGTH_GHZ_M);
  const beta = publishedLoss({ ...path, effectiveEarthRadiusKm: BETA_EARTH_RADIUS_KM }, PUBLISHED_WAVELENGTH_GHZ_M);
  const { tx, rx, ...parameters } = parametersOf(path);
  const sight = { ...parameters, txHorizonKm: tx.distanceKm, rxHorizonKm: rx.distanceKm };
  const lossDb = (percent: number) => lineOfSightLossDb({ ...sight, frequencyGhz: path.frequencyGhz }, percent);
  const gasesDb = Number(row.Lbfsg) - lossDb(50);
  return {
    hstd: median.smoothTxAmslM,
    hsrd: median.smoothRxAmslM,
    Lb0p: lossDb(timePercent) + gasesDb,
    Lb0b: lossDb(beta0Percent) + gasesDb,
    Ldsph: median.sphericalDb,
    Ld50: median.lossDb,
    Ldp: median.lossDb + (beta.lossDb - median.lossDb) * timeInterpolationFactor(timePercent, beta0Percent),
  };
}

function parametersOf(path: PublishedPath): PathParameters {
  const { txHeightAglM, rxHeightAglM, effectiveEarthRadiusKm: radiusKm, frequencyGhz } = path;
  const wavelengthM = PUBLISHED_WAVELENGTH_GHZ_M / frequencyGhz;
  return pathParameters(publishedProfile(path), txHeightAglM, rxHeightAglM, radiusKm, wavelengthM);
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
  return csvRows(profile).map((point) => ZONE_OF_CODE[Object.values(point)[4]]);
}
