import {
  computeHeightGainLossDb,
  computeOverTopLossDb,
  computeOxygenAttenuationDbPerKm,
  computeRainAttenuationDbPerKm,
  computeRainCoefficientsOnPath,
  computeStatisticalClutterLossDb,
  computeWaterAttenuationDbPerKm,
} from "@fellmark/propagation";
import { type CsvRow, csvRows } from "./data-files.ts";
import type { FileFormat } from "./format.ts";
import type { Outcome } from "./report.ts";

/** P.2108-1 3.1: published to 0.1 or 0.01 dB. */
export const terminalClutterFile: FileFormat = {
  recognises: ({ header }) => /clutter_type/.test(header) && /A_?h/.test(header),
  *check(file) {
    for (const [i, row] of csvRows(file).entries()) {
      const place = { file: file.path, quantity: "clutter loss, P.2108-1 3.1" };
      if (asksForError(row)) yield { ...place, n: 1, reason: "the row asks for an error code of its own program" };
      else yield { ...place, id: `row ${i + 1}`, ...published(row), got: terminalLossDb(row) };
    }
  },
};

/** Clutter types 1 (water) and 2 (open) follow eq (2b), the others eq (2a). */
function terminalLossDb(row: CsvRow): number {
  const [frequencyGhz, heightM, widthM, clutterM, type] = Object.values(row).map(Number);
  return type <= 2
    ? computeHeightGainLossDb(heightM, clutterM, frequencyGhz)
    : computeOverTopLossDb(heightM, clutterM, frequencyGhz, widthM);
}

/** P.2108-1 3.2: published to 0.1 dB. */
export const statisticalClutterFile: FileFormat = {
  recognises: ({ header }) => /L_?ctt/.test(header),
  *check(file) {
    for (const [i, row] of csvRows(file).entries()) {
      const place = { file: file.path, quantity: "clutter loss, P.2108-1 3.2" };
      const [frequencyGhz, distanceKm, percent] = Object.values(row).map(Number);
      if (asksForError(row)) yield { ...place, n: 1, reason: "the row asks for an error code of its own program" };
      else {
        const got = computeStatisticalClutterLossDb(distanceKm * 1000, frequencyGhz, percent / 100);
        yield { ...place, id: `row ${i + 1}`, ...published(row), got };
      }
    }
  },
};

function asksForError(row: CsvRow): boolean {
  return row.rtn !== undefined && Number(row.rtn) !== 0;
}

/** The last column, and half a unit of its last printed place (0.1 dB where it is printed without). */
function published(row: CsvRow): { expected: number; tolerance: number } {
  const printed = Object.values(row).at(-1) ?? "";
  const places = Math.max(printed.split(".")[1]?.length ?? 0, 1);
  return { expected: Number(printed), tolerance: 0.5 * 10 ** -places + 1e-9 };
}

/** P.676-9 Annex 2, the simplified form the product uses: published to 1e-8 or 1e-7 dB/km. */
export const simplifiedGasFile: FileFormat = {
  recognises: ({ header }) => header.startsWith("quantity,f_GHz,P_hPa,rho_g_m3,T,T_unit"),
  *check(file) {
    for (const [i, row] of csvRows(file).entries()) {
      const temperatureC = Number(row.T) - (row.T_unit === "K" ? 273.15 : 0);
      const air = { pressureHpa: Number(row.P_hPa), temperatureC, waterVapourGM3: Number(row.rho_g_m3) };
      const attenuation = row.quantity === "gamma0" ? computeOxygenAttenuationDbPerKm : computeWaterAttenuationDbPerKm;
      const expected = Number(row.expected_dB_per_km);
      const got = attenuation(Number(row.f_GHz), air);
      yield { file: file.path, quantity: row.quantity, id: `row ${i + 1}`, expected, got, tolerance: 1e-5 * expected };
    }
  },
};

/** What the simplified form may differ from line by line, relative. Source: measured on this table, 1 to 50 GHz. */
const LINE_BY_LINE_SHARE = { gamma0: 0.051, gammaw: 0.125 };

/** P.676-13 line by line: the truth that the simplified form is held against. */
export const lineByLineGasFile: FileFormat = {
  recognises: ({ header }) => header.startsWith("f,P,T,rho,gamma0,gammaw"),
  *check(file) {
    const place = { file: file.path, quantity: "simplified gas against line by line" };
    for (const row of csvRows(file).slice(1)) {
      const frequencyGhz = Number(row.f);
      if (frequencyGhz > 50) {
        yield { ...place, n: 1, reason: "above the 50 GHz for which the simplified form states its accuracy" };
        continue;
      }
      const temperatureC = Number(row.T) - 273.15;
      const air = { pressureHpa: Number(row.P), temperatureC, waterVapourGM3: Number(row.rho) };
      const got = {
        gamma0: computeOxygenAttenuationDbPerKm(frequencyGhz, air),
        gammaw: computeWaterAttenuationDbPerKm(frequencyGhz, air),
      };
      for (const name of ["gamma0", "gammaw"] as const) {
        const expected = Number(row[name]);
        const tolerance = LINE_BY_LINE_SHARE[name] * expected;
        yield { ...place, quantity: `${name}, simplified`, id: `${row.f} GHz`, expected, got: got[name], tolerance };
      }
    }
  },
};

/** P.838-3: published to 1e-8. */
export const rainFile: FileFormat = {
  recognises: ({ header }) => header.startsWith("el,f,R,tau,k,alpha"),
  *check(file): Iterable<Outcome> {
    for (const [i, row] of csvRows(file).slice(1).entries()) {
      const coefficients = computeRainCoefficientsOnPath(Number(row.f), Number(row.el), Number(row.tau));
      const gamma_r = computeRainAttenuationDbPerKm(Number(row.R), coefficients);
      for (const [name, got] of Object.entries({ ...coefficients, gamma_r })) {
        const expected = Number(row[name]);
        yield { file: file.path, quantity: name, id: `row ${i + 1}`, expected, got, tolerance: 1e-8 };
      }
    }
  },
};
