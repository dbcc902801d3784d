import {
  ADJACENT_CHANNEL_DB,
  computePhyRateMbps,
  findModulationSnrDb,
  findPermittedPower,
  MODULATIONS,
  type RateStandard,
} from "@fellmark/radio";
import { csvRows } from "./data-files.ts";
import { type FileFormat, isRecord } from "./format.ts";

/** Rates of 802.11n, ac and ax, printed to 0.1 Mbit/s; a combination the standard leaves out must give none. */
export const wifiRatesFile: FileFormat = {
  recognises: ({ header }) => header.startsWith("standard,bandwidth_MHz,mcs_index,mcs_modulation,nss"),
  *check(file) {
    for (const [i, row] of csvRows(file).entries()) {
      const rate = computePhyRateMbps({
        standard: `802.11${row.standard}` as RateStandard,
        widthMhz: Number(row.bandwidth_MHz),
        index: Number(row.mcs_modulation),
        streams: Number(row.nss),
        guardUs: Number(row.gi_us),
      });
      const place = { file: file.path, id: `row ${i + 1}` };
      if (row.status === "excluded") {
        yield { ...place, quantity: "left out (1)", expected: 1, got: Number.isNaN(rate) ? 1 : 0, tolerance: 0 };
      } else {
        yield { ...place, quantity: "rate, Mbit/s", expected: Number(row.rate_Mbps), got: rate, tolerance: 0.0501 };
      }
    }
  },
};

/** Sensitivity and rejection of 802.11n, ac and ax, and what follows from them. */
export const wifiSensitivityFile: FileFormat = {
  recognises: ({ header }) => header.startsWith("standard,bandwidth_MHz,mcs,modulation,coding,min_sensitivity"),
  *check(file) {
    for (const [i, row] of csvRows(file).entries()) {
      const index = Number(row.mcs);
      const place = { file: file.path, id: `row ${i + 1}` };
      const widthDb = 10 * Math.log10(Number(row.bandwidth_MHz) / 20);
      const snrDb = Number(row.implied_SNR_after_NF10_and_5dB_margin);
      const sensitivity = {
        expected: Number(row.min_sensitivity_dBm),
        got: MODULATIONS[index].sensitivityDbm + widthDb,
      };
      yield { ...place, quantity: "sensitivity, dBm", ...sensitivity, tolerance: 0.05 };
      yield { ...place, quantity: "SNR, dB", expected: snrDb, got: findModulationSnrDb(index), tolerance: 0.1 };
      const ratioDb = (rejection: string) => 3 + Number(row[rejection]) + snrDb;
      const adjacent = { expected: ratioDb("adjacent_rejection_dB"), got: ADJACENT_CHANNEL_DB.adjacent };
      const second = { expected: ratioDb("nonadjacent_rejection_dB"), got: ADJACENT_CHANNEL_DB.secondAdjacent };
      yield { ...place, quantity: "adjacent channel, dB", ...adjacent, tolerance: 0.1 };
      yield { ...place, quantity: "second adjacent channel, dB", ...second, tolerance: 0.1 };
    }
  },
};

/** Rules of the examples that are rows of the product. */
const RULE_IDS: Readonly<Record<string, { rule: string; centreMhz: number }>> = {
  "15.407(a)(3) PMP": { rule: "us-5725-5850-ptmp", centreMhz: 5787.5 },
  "15.407(a)(1) PtP": { rule: "us-5150-5250-ptp", centreMhz: 5200 },
  "15.247 3:1": { rule: "us-2400-ptp", centreMhz: 2437 },
  "EN 301 893 with TPC": { rule: "etsi-5470-5725-tpc", centreMhz: 5600 },
  "15.407(a)(1) 21 dBm above 30 deg": { rule: "us-5150-5250-outdoor", centreMhz: 5200 },
};

/** Examples of power and gain that a rule permits (1) or not (0). */
export const eirpExamplesFile: FileFormat = {
  recognises: ({ json }) => Array.isArray(json) && json.some((row) => isRecord(row) && "legal" in row),
  *check(file) {
    for (const row of file.json as Record<string, unknown>[]) {
      const place = { file: file.path, quantity: "permitted (1)" };
      const known = RULE_IDS[String(row.rule)];
      if (!known) {
        yield { ...place, n: 1, reason: `the product has no row for the rule ${row.rule}` };
        continue;
      }
      const { eirpBackOffDb } = findPermittedPower({ ...known, ...exampleOf(row), lossDb: 0, widthMhz: 20 });
      const got = eirpBackOffDb === 0 ? 1 : 0;
      yield { ...place, id: String(row.id), expected: row.legal === true ? 1 : 0, got, tolerance: 0 };
    }
  },
};

/** Power and gain of an example; one that states an EIRP at an elevation has gain there only. */
function exampleOf(row: Record<string, unknown>) {
  if (row.elevation_deg === undefined) {
    return { powerDbm: Number(row.conducted_dBm), gainDbi: Number(row.gain_dBi) };
  }
  const reached = Number(row.elevation_deg);
  return {
    powerDbm: Number(row.eirp_dBm),
    gainDbi: 0,
    gainAboveDbi: (elevationDeg: number) => (reached >= elevationDeg ? 0 : -100),
  };
}
