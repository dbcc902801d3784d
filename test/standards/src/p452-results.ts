import { effectiveEarthRadiusKm } from "@fellmark/propagation";
import { type CsvRow, csvRows, type DataFile } from "./data-files.ts";
import { type FileFormat, folderLabel } from "./format.ts";
import { PUBLISHED_WAVELENGTH_GHZ_M, type PublishedPath, publishedLoss, publishedRayAngles } from "./published-path.ts";
import type { Outcome } from "./report.ts";

/** Columns that need parts of P.452 which the product does not have. */
const OUT_OF_SCOPE = ["Lb", "Lbfsg", "Lb0p", "Lb0b", "Ldp", "Lbs", "Lba"];

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
      yield { file: label, quantity, n: rows.length, reason: "the product has no complete P.452" };
    }
  },
};

/** Profiles of the P.452-18 result files, read with their results. */
export const p452Profiles: FileFormat = {
  recognises: ({ header }) => header.startsWith("d (km),h(m),"),
  *check() {},
};

function* checkRow(id: string, label: string, row: CsvRow, profile: DataFile): Iterable<Outcome> {
  const path = pathOf(row, profile);
  const loss = publishedLoss(path, PUBLISHED_WAVELENGTH_GHZ_M);
  const { txMrad, rxMrad } = publishedRayAngles(path);
  const column = (name: string, got: number, tolerance = 1e-6) => ({
    file: label,
    quantity: name,
    id,
    expected: Number(row[name]),
    got,
    tolerance,
  });
  // DN is printed to 1e-6, which leaves 4e-5 km in ae.
  yield column("ae", effectiveEarthRadiusKm(Number(row.DN)), 1e-4);
  yield column("theta_t", txMrad);
  yield column("theta_r", rxMrad);
  yield column("hstd", loss.smoothTxAmslM);
  yield column("hsrd", loss.smoothRxAmslM);
  yield column("Ldsph", loss.sphericalDb);
  yield column("Ld50", loss.lossDb);
}

function pathOf(row: CsvRow, profile: DataFile): PublishedPath {
  const points = csvRows(profile).map((point) => Object.values(point));
  return {
    distanceKm: points.map((point) => Number(point[0])),
    groundAmslM: points.map((point) => Number(point[1])),
    clutterM: points.map((point) => Number(point[2])),
    clutterRule: "beyond 50 m",
    txHeightAglM: Number(row["htg (m)"]),
    rxHeightAglM: Number(row["hrg (m)"]),
    frequencyGhz: Number(row["f (GHz)"]),
    effectiveEarthRadiusKm: Number(row.ae),
    polarisation: row["pol (1-h/2-v)"] === "1" ? "horizontal" : "vertical",
    seaFraction: Number(row.omega),
  };
}
