import { posix } from "node:path";
import {
  computeEffectiveEarthRadiusKm,
  computeP1812Loss,
  computePathCentreLatitudeDeg,
  type P1812Input,
  type P1812Result,
  type RadioZone,
  raiseByPathClutter,
} from "@fellmark/propagation";
import { SPEED_OF_LIGHT_M_S } from "@fellmark/units";
import { csvFields, csvRows, type DataFile } from "./data-files.ts";
import { type FileFormat, folderLabel } from "./format.ts";
import { PUBLISHED_WAVELENGTH_GHZ_M, zonesOfCodes } from "./published-path.ts";
import type { Outcome } from "./report.ts";

/** What is asked of the loss when the exact speed of light stands for that of the published numbers, dB. */
const EXACT_SPEED_TOLERANCE_DB = 0.01;

/** Radio-climatic codes of a profile. Source: ITU-R P.1812-6, table 4, and the head of the column. */
const ZONE_OF_CODE: Readonly<Record<string, RadioZone>> = { "1": "sea", "3": "coastal-land", "4": "inland" };

/** Result files of P.1812-6, one a path: parameter, equation, value; the profile stands in ../profiles. */
export const p1812Results: FileFormat = {
  recognises: ({ header }) => header.startsWith("# Parameter,Ref,,Value"),
  *check(file, folder) {
    const label = folderLabel(file.path);
    const profilePath = file.path.replace(/results\/(.*)_\d+\.csv$/, "profiles/$1.csv");
    const profile = folder.find(profilePath);
    if (profile) yield* checkPath(file, label, profile);
    else yield { file: label, quantity: "all", n: 1, reason: `the profile ${profilePath} is absent` };
  },
};

/** Profiles of the P.1812-6 result files, read with their results. */
export const p1812Profiles: FileFormat = {
  recognises: ({ text }) => text.includes("{Begin of Profile}"),
  *check() {},
};

/** Field strengths of all runs in one table, each against the run of the result file that it names. */
export const p1812Summary: FileFormat = {
  recognises: ({ header }) => header.startsWith("Folder,Filename,Dataset #,Reference,Predicted"),
  *check(file, folder) {
    const quantity = "Ep (dBuV/m) w.r.t. Ptx";
    for (const row of csvRows(file)) {
      const name = row.Filename.replace(/\.csv$/, "");
      const run = folder.find(posix.join(posix.dirname(file.path), `${name}_${row["Dataset #"]}.csv`));
      const profile = folder.find(posix.join(posix.dirname(file.path), `../profiles/${name}.csv`));
      if (run && profile) {
        const got = fieldOfPowerDb(computeP1812Loss(inputOf(run, profile)), parameter(run, "Ptx (kW)"));
        yield { file: file.path, quantity, id: run.path, expected: Number(row.Reference), got, tolerance: 1e-6 };
      } else yield { file: file.path, quantity, n: 1, reason: `the run ${name} ${row["Dataset #"]} is absent` };
    }
  },
};

function* checkPath(file: DataFile, label: string, profile: DataFile): Iterable<Outcome> {
  const value = (name: string, source?: string) => parameter(file, name, source);
  const input = inputOf(file, profile);
  const result = computeP1812Loss(input);
  const row = { file: label, id: file.path, tolerance: 1e-6 };
  for (const [name, got, source] of printedFigures(input, result, value("Ptx (kW)"))) {
    const quantity = source === undefined ? name : `${name} ${source}`;
    yield { ...row, quantity, expected: value(name, source), got };
  }
  const exact = computeP1812Loss({ ...input, wavelengthM: SPEED_OF_LIGHT_M_S / 1e9 / input.frequencyGhz });
  const exactRow = { ...row, tolerance: EXACT_SPEED_TOLERANCE_DB };
  yield { ...exactRow, quantity: "Lb, exact speed of light", expected: value("Lb (dB)"), got: exact.lbDb };
  const fieldName = "Ep, exact speed of light";
  yield { ...exactRow, quantity: fieldName, expected: value("Ep (dBuV/m)"), got: exact.fieldStrengthDbUvM };
}

/** Every figure that a result file prints: its name, what the product gives, and the equation where names repeat. */
function printedFigures(input: P1812Input, result: P1812Result, txPowerKw: number): [string, number, string?][] {
  return [...pathFigures(input, result), ...lossFigures(result, txPowerKw)];
}

function pathFigures(
  input: P1812Input,
  { path, zones, climate, diffraction }: P1812Result,
): [string, number, string?][] {
  const { median } = diffraction;
  return [
    ["d (km)", path.pathKm],
    ["dlt (km)", path.tx.distanceKm],
    ["dlr (km)", path.rx.distanceKm],
    ["th_t (mrad)", path.tx.elevationMrad],
    ["th_r (mrad)", path.rx.elevationMrad],
    ["th (mrad)", path.angularDistanceMrad],
    ["hts (m)", path.txAmslM],
    ["hrs (m)", path.rxAmslM],
    ["w", zones.seaFraction],
    ["dtm (km)", zones.longestLandKm],
    ["dlm (km)", zones.longestInlandKm],
    ["phi (deg)", input.pathCentreLatitudeDeg],
    ["b0 (%)", climate.beta0Percent],
    ["ae (km)", computeEffectiveEarthRadiusKm(input.deltaN)],
    ["hst (m)", path.smoothTxAmslM, "Eq (90a)"],
    ["hsr (m)", path.smoothRxAmslM, "Eq (90b)"],
    ["hstd (m)", median.smoothTxAmslM],
    ["hsrd (m)", median.smoothRxAmslM],
    ["htc' (m)", path.txAmslM - median.smoothTxAmslM],
    ["hrc' (m)", path.rxAmslM - median.smoothRxAmslM],
    ["hte (m)", path.effectiveTxHeightM],
    ["hre (m)", path.effectiveRxHeightM],
    ["hm (m)", path.roughnessM],
  ];
}

function lossFigures(result: P1812Result, txPowerKw: number): [string, number][] {
  const { median, beta } = result.diffraction;
  return [
    ["Fi", result.fi],
    ["Fj", result.fj],
    ["Fk", result.fk],
    ["Lbfs", result.lbfsDb],
    ["Lb0p", result.lb0pDb],
    ["Lb0b", result.lb0BetaDb],
    ["Lbulla (dB)", median.bullingtonActualDb],
    ["Lbulls (dB)", median.bullingtonSmoothDb],
    ["Ldsph (dB)", median.sphericalDb],
    ["Ld50 (dB)", median.lossDb],
    ["Ldb (dB)", beta.lossDb],
    ["Ldp (dB)", result.ldpDb],
    ["Lbd50 (dB)", result.lbd50Db],
    ["Lbd (dB)", result.lbdDb],
    ["Lminb0p (dB)", result.lminb0pDb],
    ["Lba (dB)", result.lbaDb],
    ["Lminbap (dB)", result.lminbapDb],
    ["Lbda (dB)", result.lbdaDb],
    ["Lbam (dB)", result.lbamDb],
    ["Lbs (dB)", result.lbsDb],
    ["Lbc (dB)", result.lbcDb],
    ["Lb (dB)", result.lbDb],
    ["Ep (dBuV/m)", result.fieldStrengthDbUvM],
    ["Ep (dBuV/m) w.r.t. Ptx", fieldOfPowerDb(result, txPowerKw)],
  ];
}

/** Field strength of a transmitter of that effective radiated power, dB above 1 uV/m. */
function fieldOfPowerDb({ fieldStrengthDbUvM }: P1812Result, txPowerKw: number): number {
  return fieldStrengthDbUvM + 10 * Math.log10(txPowerKw);
}

/** The first value of a parameter, of that equation where one is named; NaN where it is absent: no check passes it. */
function parameter(file: DataFile, name: string, source?: string): number {
  const rows = file.text.split(/\r?\n/).map(csvFields);
  const row = rows.find((fields) => fields[0] === name && (source === undefined || fields[1] === source));
  return row === undefined ? Number.NaN : Number(row[3]);
}

function inputOf(run: DataFile, profile: DataFile): P1812Input {
  const value = (name: string) => parameter(run, name);
  const points = profilePoints(profile);
  const distanceM = Float64Array.from(points, (point) => Number(point[0]) * 1000);
  const bareAmslM = Float64Array.from(points, (point) => Number(point[1]));
  const clutterM = points.map((point) => Number(point[3]));
  const surfaceAmslM = raiseByPathClutter(distanceM, bareAmslM, clutterM, "interior");
  return {
    profile: { distanceM, surfaceAmslM, bareAmslM },
    zones: zonesOfCodes(
      points.map((point) => point[4]),
      ZONE_OF_CODE,
      profile.path,
    ),
    txHeightAglM: value("htg (m)"),
    rxHeightAglM: value("hrg (m)"),
    frequencyGhz: value("f (GHz)"),
    wavelengthM: PUBLISHED_WAVELENGTH_GHZ_M / value("f (GHz)"),
    polarisation: value("pol") === 1 ? "horizontal" : "vertical",
    timePercent: value("p (%)"),
    locationPercent: value("pL (%)"),
    locationSpreadDb: value("sigmaL (dB)"),
    deltaN: value("DN"),
    seaLevelRefractivity: value("N0"),
    pathCentreLatitudeDeg: computePathCentreLatitudeDeg(
      { lonDeg: value("lam_t (deg)"), latDeg: value("phi_t (deg)") },
      { lonDeg: value("lam_r (deg)"), latDeg: value("phi_r (deg)") },
      value("d (km)"),
    ),
    txCoastKm: value("dct (km)"),
    rxCoastKm: value("dcr (km)"),
  };
}

/** Rows of a profile: distance in km, ground, clutter code, clutter height in m, radio-climatic code. */
function profilePoints(file: DataFile): string[][] {
  const lines = file.text.split(/\r?\n/);
  const begin = lines.findIndex((line) => line.startsWith("{Begin of Profile}"));
  const count = Number(csvFields(lines[begin + 1])[1]);
  return lines.slice(begin + 2, begin + 2 + count).map(csvFields);
}
