import { effectiveEarthRadiusKm, freeSpaceLossDb } from "@fellmark/propagation";
import { csvFields, type DataFile } from "./data-files.ts";
import { type FileFormat, folderLabel } from "./format.ts";
import { PUBLISHED_WAVELENGTH_GHZ_M, type PublishedPath, publishedLoss, publishedRayAngles } from "./published-path.ts";
import type { Outcome } from "./report.ts";

/** Earth radius exceeded for beta0 % of the time, km. Source: ITU-R P.1812-6, eq (7b). */
const BETA_EARTH_RADIUS_KM = 6371 * 3;

/** The source rounds the constant of free space at 1 km and 1 GHz to this. */
const ROUNDED_FREE_SPACE_DB = 92.4;

const OUT_OF_SCOPE = ["Lb0p", "Lb0b", "Ldp", "Lbd50", "Lbd", "Lba", "Lbs", "Lbc", "Lb", "Ep"];

/** Result files of P.1812-6, one a path: parameter, equation, value; the profile stands in ../profiles. */
export const p1812Results: FileFormat = {
  recognises: ({ header }) => header.startsWith("# Parameter,Ref,,Value"),
  *check(file, folder) {
    const label = folderLabel(file.path);
    const profilePath = file.path.replace(/results\/(.*)_\d+\.csv$/, "profiles/$1.csv");
    const profile = folder.find(profilePath);
    if (profile) yield* checkPath(file, label, profile);
    else yield { file: label, quantity: "all", n: 1, reason: `the profile ${profilePath} is absent` };
    for (const quantity of OUT_OF_SCOPE) {
      yield { file: label, quantity, n: 1, reason: "the product has no complete P.1812 yet" };
    }
  },
};

/** Profiles of the P.1812-6 result files, read with their results. */
export const p1812Profiles: FileFormat = {
  recognises: ({ text }) => text.includes("{Begin of Profile}"),
  *check() {},
};

function* checkPath(file: DataFile, label: string, profile: DataFile): Iterable<Outcome> {
  const value = (name: string) => parameter(file, name);
  const path = pathOf(value, profile);
  const loss = publishedLoss(path, PUBLISHED_WAVELENGTH_GHZ_M);
  const beta = publishedLoss({ ...path, effectiveEarthRadiusKm: BETA_EARTH_RADIUS_KM }, PUBLISHED_WAVELENGTH_GHZ_M);
  const { txMrad, rxMrad } = publishedRayAngles(path);
  const slantM = 1000 * Math.hypot(value("d (km)"), (value("hts (m)") - value("hrs (m)")) / 1000);
  const roundingDb = freeSpaceLossDb(1000, 1) - ROUNDED_FREE_SPACE_DB;
  const got: Record<string, number> = {
    "ae (km)": effectiveEarthRadiusKm(value("DN")),
    "th_t (mrad)": txMrad,
    "th_r (mrad)": rxMrad,
    "hstd (m)": loss.smoothTxAmslM,
    "hsrd (m)": loss.smoothRxAmslM,
    Lbfs: freeSpaceLossDb(slantM, path.frequencyGhz) - roundingDb,
    "Lbulla (dB)": loss.bullingtonActualDb,
    "Lbulls (dB)": loss.bullingtonSmoothDb,
    "Ldsph (dB)": loss.sphericalDb,
    "Ld50 (dB)": loss.lossDb,
    "Ldb (dB)": beta.lossDb,
  };
  for (const [name, number] of Object.entries(got)) {
    yield { file: label, quantity: name, id: file.path, expected: value(name), got: number, tolerance: 1e-6 };
  }
}

/** The first value of a parameter; NaN where the file does not have it, which no check passes. */
function parameter(file: DataFile, name: string): number {
  const line = file.text.split(/\r?\n/).find((text) => csvFields(text)[0] === name);
  return line === undefined ? Number.NaN : Number(csvFields(line)[3]);
}

function pathOf(value: (name: string) => number, profile: DataFile): PublishedPath {
  const lines = profile.text.split(/\r?\n/);
  const begin = lines.indexOf(lines.find((line) => line.startsWith("{Begin of Profile}")) ?? "");
  const count = Number(csvFields(lines[begin + 1])[1]);
  const points = lines.slice(begin + 2, begin + 2 + count).map((line) => csvFields(line).map(Number));
  return {
    distanceKm: points.map((point) => point[0]),
    groundAmslM: points.map((point) => point[1]),
    clutterM: points.map((point) => point[3]),
    clutterRule: "interior",
    txHeightAglM: value("htg (m)"),
    rxHeightAglM: value("hrg (m)"),
    frequencyGhz: value("f (GHz)"),
    effectiveEarthRadiusKm: value("ae (km)"),
    polarisation: value("pol") === 1 ? "horizontal" : "vertical",
    seaFraction: value("w"),
  };
}
