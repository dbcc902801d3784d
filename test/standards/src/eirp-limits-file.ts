import { POWER_RULES, type PowerRule } from "@fellmark/radio";
import { toDb } from "@fellmark/units";
import { type CsvRow, csvRows } from "./data-files.ts";
import type { FileFormat } from "./format.ts";

/** Rows of the product by band and class of the file; a row of the file with several bands has one for each. */
const RULE_IDS: Readonly<Record<string, readonly string[]>> = {
  "5150-5250 outdoor AP": ["us-5150-5250-outdoor"],
  "5150-5250 fixed point-to-point AP": ["us-5150-5250-ptp"],
  "5150-5250 client": ["us-5150-5250-client"],
  "5250-5350, 5470-5725 all": ["us-5250-5350", "us-5470-5725"],
  "5725-5850 point-to-multipoint": ["us-5725-5850-ptmp"],
  "5725-5850 fixed point-to-point": ["us-5725-5850-ptp"],
  "5925-6425, 6525-6875 standard-power AP": ["us-5925-6425", "us-6525-6875"],
  "2400-2483.5 digital modulation PMP": ["us-2400-ptmp"],
  "2400-2483.5 fixed point-to-point": ["us-2400-ptp"],
  "902-928 digital modulation": ["us-902-928"],
  "5470-5725 with TPC": ["etsi-5470-5725-tpc"],
  "5470-5725 without TPC": ["etsi-5470-5725"],
  "5725-5875 BFWA P-P, P-MP": ["etsi-5725-5875"],
  "5725-5875 BFWA mesh, AP-MP": ["etsi-5725-5875-mesh"],
};

/** Limits of power by band; the product has those for use outdoors. */
export const eirpLimitsFile: FileFormat = {
  recognises: ({ header }) => header.startsWith("rule,band_MHz,class,max_conducted_dBm"),
  *check(file) {
    for (const row of csvRows(file)) {
      const name = `${row.band_MHz} ${row.class}`;
      const ids = RULE_IDS[name];
      if (!ids) {
        yield { file: file.path, quantity: `limits of ${name}`, n: 1, reason: reasonOf(row) };
        continue;
      }
      const bands = row.band_MHz.split(", ");
      for (const [i, id] of ids.entries()) {
        const rule = POWER_RULES.find((one) => one.id === id);
        for (const [quantity, expected, got] of limitsOf(row, bands[i], rule)) {
          yield { file: file.path, id, quantity, expected, got: got ?? Number.NaN, tolerance: 1e-9 };
        }
      }
    }
  },
};

function reasonOf({ rule, note, how }: CsvRow): string {
  const isIndoor = `${note} ${how}`.includes("indoor");
  return isIndoor ? "the rule is for use indoors" : `the product has no row for it among those of ${rule}`;
}

type Limit = [quantity: string, stated: number, own: number | null | undefined];

/** The limits that a row states as numbers, each with the product's own; one that the product lacks is null. */
function limitsOf(row: CsvRow, band: string, rule: PowerRule | undefined): Limit[] {
  const [lowMhz, highMhz] = band.split("-").map(Number);
  const isRadiated = row.max_conducted_dBm === "";
  const limits: Limit[] = [
    ["edge of the band, MHz", lowMhz, rule?.bandMhz[0]],
    ["edge of the band, MHz", highMhz, rule?.bandMhz[1]],
    ["conducted power, dBm", Number.parseFloat(row.max_conducted_dBm), rule?.conductedDbm],
    ["density, dBm/MHz", densityDbmPerMhz(row.psd), isRadiated ? rule?.psdEirpDbmPerMhz : rule?.psdDbmPerMhz],
    ["gain without reduction, dBi", Number.parseFloat(row.antenna_gain_free_dBi), rule?.gainFreeDbi],
    ["EIRP, dBm", Number.parseFloat(row.max_eirp_dBm), rule?.eirpDbm],
    ["EIRP above 30 degrees, dBm", row.note.includes("above 30 deg") ? 21 : Number.NaN, rule?.elevationMask?.eirpDbm],
  ];
  return limits.filter(([, stated]) => !Number.isNaN(stated));
}

/** Reads "17 dBm/MHz", "30 dBm/500 kHz"; NaN where there is none. */
function densityDbmPerMhz(text: string): number {
  const [, level, per = "1", unit] = /^(\d+) dBm\/(?:(\d+) )?(MHz|kHz)/.exec(text) ?? [];
  if (level === undefined) return Number.NaN;
  return Number(level) - toDb(unit === "kHz" ? Number(per) / 1000 : Number(per));
}
