import type { DiffractionResult, PathClutterRule } from "@fellmark/propagation";
import { computeWavelengthM, InputError } from "@fellmark/units";
import type { DataFile } from "./data-files.ts";
import { type FileFormat, isRecord } from "./format.ts";
import { PUBLISHED_WAVELENGTH_GHZ_M, type PublishedPath, publishedLoss } from "./published-path.ts";
import type { Outcome } from "./report.ts";

interface Case {
  id: string;
  profile: string;
  clutter_rule: string;
  f_GHz: number;
  htg_m: number;
  hrg_m: number;
  pol: string;
  sea_fraction: number;
  a_p_km: number;
  expected: Record<string, number>;
}

interface Profile {
  d_km: number[];
  h_m: number[];
  clutter_m: number[];
}

interface CaseFile {
  profiles: Record<string, Profile>;
  cases: Case[];
}

const FIELDS: Readonly<Record<string, keyof DiffractionResult>> = {
  Lbulla: "bullingtonActualDb",
  Lbulls: "bullingtonSmoothDb",
  Ldsph: "sphericalDb",
  Ld: "lossDb",
  hstd: "smoothTxAmslM",
  hsrd: "smoothRxAmslM",
};

const CLUTTER_RULES: Readonly<Record<string, PathClutterRule>> = {
  "interior points h+R, ends bare": "interior",
  "h+R except points nearer than 50 m to either end": "beyond-50-m",
};

const WAVELENGTHS = [
  { label: "lambda = 0.2998/f", ghzM: PUBLISHED_WAVELENGTH_GHZ_M, tolerance: 1e-6 },
  { label: "exact speed of light", ghzM: computeWavelengthM(1), tolerance: 1e-3 },
];

/** Published intermediates of the delta-Bullington method: profiles, and cases over them with what is expected. */
export const deltaBullingtonFile: FileFormat = {
  recognises: ({ json }) => isRecord(json) && isRecord(json.profiles) && Array.isArray(json.cases),
  *check(file) {
    const { profiles, cases } = file.json as CaseFile;
    for (const [i, one] of cases.entries()) {
      const profile = profiles[one.profile];
      if (!profile || !isWhole(profile)) {
        const detail = `there is no whole profile "${one.profile}"`;
        throw new InputError([{ pointer: `/${file.path}/cases/${i}/profile`, detail }]);
      }
      yield* checkCase(file, one, profile);
    }
  },
};

function isWhole({ d_km, h_m, clutter_m }: Profile): boolean {
  return [d_km, h_m, clutter_m].every((list) => Array.isArray(list) && list.length === d_km.length && list.length > 2);
}

function* checkCase(file: DataFile, one: Case, profile: Profile): Iterable<Outcome> {
  const clutterRule = CLUTTER_RULES[one.clutter_rule];
  if (!clutterRule) {
    const reason = `the clutter rule "${one.clutter_rule}" is not known`;
    yield { file: file.path, quantity: "delta-Bullington", n: 1, reason };
    return;
  }
  const path: PublishedPath = {
    distanceKm: profile.d_km,
    groundAmslM: profile.h_m,
    clutterM: profile.clutter_m,
    clutterRule,
    txHeightAglM: one.htg_m,
    rxHeightAglM: one.hrg_m,
    frequencyGhz: one.f_GHz,
    effectiveEarthRadiusKm: one.a_p_km,
    polarisation: one.pol === "H" ? "horizontal" : "vertical",
    seaFraction: one.sea_fraction,
  };
  for (const { label, ghzM, tolerance } of WAVELENGTHS) {
    const result = publishedLoss(path, ghzM);
    for (const [name, expected] of Object.entries(one.expected)) {
      const field = FIELDS[name];
      const place = { file: file.path, quantity: `${name}, ${label}` };
      if (field) yield { ...place, id: one.id, expected, got: result[field] as number, tolerance };
      else yield { ...place, n: 1, reason: "the quantity is not known" };
    }
  }
}
