import { dbFromRatio, InputError } from "@fellmark/units";

/** Limits of one band, totals over the transmit chains; null where the rule has no such limit. */
export interface PowerRule {
  id: string;
  title: string;
  /** Edges of the band; a channel must lie inside with its whole width. */
  bandMhz: readonly [number, number];
  conductedDbm: number | null;
  psdDbmPerMhz: number | null;
  eirpDbm: number | null;
  psdEirpDbmPerMhz: number | null;
  /** Antenna gain, less losses, above which conducted power and density fall dB for dB. */
  gainFreeDbi: number | null;
  source: string;
  /** False where the rule's own text was not read: check your licence and local rules. */
  verified: boolean;
}

export const POWER_RULES: readonly PowerRule[] = [
  {
    id: "us-5725-5850-ptmp",
    title: "United States, 5.725-5.850 GHz, point-to-multipoint",
    bandMhz: [5725, 5850],
    conductedDbm: 30,
    psdDbmPerMhz: 30 + dbFromRatio(2), // 30 dBm in 500 kHz
    eirpDbm: 36,
    psdEirpDbmPerMhz: null,
    gainFreeDbi: 6,
    source: "47 CFR 15.407(a)(3)",
    verified: false,
  },
  {
    id: "us-5725-5850-ptp",
    title: "United States, 5.725-5.850 GHz, fixed point-to-point",
    bandMhz: [5725, 5850],
    conductedDbm: 30,
    psdDbmPerMhz: 30 + dbFromRatio(2),
    eirpDbm: null,
    psdEirpDbmPerMhz: null,
    gainFreeDbi: null,
    source: "47 CFR 15.407(a)(3)",
    verified: false,
  },
  {
    id: "etsi-5725-5875",
    title: "Europe, 5.725-5.875 GHz, broadband fixed wireless access",
    bandMhz: [5725, 5875],
    conductedDbm: null,
    psdDbmPerMhz: null,
    eirpDbm: 36,
    psdEirpDbmPerMhz: 23,
    gainFreeDbi: null,
    source: "ECC/REC(06)04; EN 302 502",
    verified: false,
  },
];

/** The limit that holds the power down. */
export type BindingLimit = "conducted" | "psd" | "eirp" | "psd-eirp" | "antenna-gain";

export interface PermittedPowerInput {
  /** Id of a row of POWER_RULES; null for no rule. */
  rule: string | null;
  /** What the operator asks for, dBm, total over chains. */
  powerDbm: number;
  widthMhz: number;
  centreMhz: number;
  /** Peak gain of the antenna. */
  gainDbi: number;
  /** Feeder and connectors. */
  lossDb: number;
}

export interface PermittedPower {
  /** The power that may be fed, dBm, total over chains. */
  powerDbm: number;
  binding: BindingLimit | null;
  /** By how much that is less than asked for, dB: 0 or more. */
  legalReductionDb: number;
}

/**
 * The power that a rule permits, and the limit that binds: the least of what is asked for and all limits of the row.
 * @param pointer JSON pointer of the transmitter, for errors.
 * Throws InputError at `rule` for an id that is not known, at `channel` for a channel not wholly inside the band.
 * Examples: 17 dBi under us-5725-5850-ptmp may be fed 19 dBm; etsi-5725-5875 gives an EIRP of 30, 33 and 36 dBm on 5,
 * 10 and 20 MHz.
 */
export function permittedPower(input: PermittedPowerInput, pointer = ""): PermittedPower {
  if (input.rule === null) return { powerDbm: input.powerDbm, binding: null, legalReductionDb: 0 };
  const rule = findRule(input.rule, pointer);
  checkBand(rule, input, pointer);
  let powerDbm = input.powerDbm;
  let binding: BindingLimit | null = null;
  for (const [name, limitDbm] of limitsOf(rule, input)) {
    if (limitDbm >= powerDbm) continue;
    powerDbm = limitDbm;
    binding = name;
  }
  return { powerDbm, binding, legalReductionDb: input.powerDbm - powerDbm };
}

function findRule(id: string, pointer: string): PowerRule {
  const rule = POWER_RULES.find((row) => row.id === id);
  if (rule) return rule;
  const known = POWER_RULES.map((row) => row.id).join(", ");
  throw new InputError([{ pointer: `${pointer}/rule`, detail: `there is no power rule "${id}"`, limit: known }]);
}

function checkBand(rule: PowerRule, { centreMhz, widthMhz }: PermittedPowerInput, pointer: string): void {
  const [lowMhz, highMhz] = rule.bandMhz;
  if (centreMhz - widthMhz / 2 >= lowMhz && centreMhz + widthMhz / 2 <= highMhz) return;
  const detail = `a channel of ${widthMhz} MHz at ${centreMhz} MHz lies outside the band of the rule "${rule.id}"`;
  throw new InputError([{ pointer: `${pointer}/channel`, detail, limit: `${lowMhz}-${highMhz} MHz` }]);
}

/** The limits on conducted power that a row sets for this transmitter. */
function limitsOf(rule: PowerRule, input: PermittedPowerInput): [BindingLimit, number][] {
  const widthDb = dbFromRatio(input.widthMhz);
  const netGainDb = input.gainDbi - input.lossDb;
  const overDb = rule.gainFreeDbi === null ? 0 : Math.max(netGainDb - rule.gainFreeDbi, 0);
  const limits: [BindingLimit, number | null][] = [
    ["conducted", rule.conductedDbm],
    ["psd", plus(rule.psdDbmPerMhz, widthDb)],
    ["eirp", plus(rule.eirpDbm, -netGainDb)],
    ["psd-eirp", plus(rule.psdEirpDbmPerMhz, widthDb - netGainDb)],
    ["antenna-gain", plus(rule.conductedDbm, -overDb)],
    ["antenna-gain", plus(rule.psdDbmPerMhz, widthDb - overDb)],
  ];
  return limits.filter((limit): limit is [BindingLimit, number] => limit[1] !== null);
}

function plus(limit: number | null, db: number): number | null {
  return limit === null ? null : limit + db;
}
