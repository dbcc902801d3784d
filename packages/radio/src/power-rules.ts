import { InputError, toDb } from "@fellmark/units";
import { POWER_RULES, type PowerRule } from "./power-rule-rows.ts";

/** Limit that determines the permitted power. */
export type BindingLimit = "conducted" | "psd" | "eirp" | "psd-eirp" | "antenna-gain" | "elevation-mask";

export interface PermittedPowerInput {
  /** Id of a row of POWER_RULES; null for no rule. */
  rule: string | null;
  /** Requested power, dBm, total over chains. */
  powerDbm: number;
  widthMhz: number;
  centreMhz: number;
  /** Peak gain of the antenna. */
  gainDbi: number;
  /** Loss of feeder and connectors. */
  lossDb: number;
  /**
   * Greatest gain of the antenna as it is mounted, at and above an elevation, dBi. Absent: the peak gain, the worst it
   * can be.
   */
  gainAboveDbi?: (elevationDeg: number) => number;
}

export interface PermittedPower {
  /** Permitted power at the radio, dBm, total over chains. */
  powerDbm: number;
  binding: BindingLimit | null;
  /** Requested less permitted power, dB: 0 or more. */
  eirpBackOffDb: number;
}

/**
 * Returns the power that a rule permits, and the limit that binds: the least of the requested power and all limits.
 * @param pointer JSON pointer of the transmitter, for errors.
 * Throws InputError at `rule` for an id that is not known, at `channel` for a channel not wholly inside the band.
 * Examples: 17 dBi under us-5725-5850-ptmp may be fed 19 dBm; etsi-5725-5875 gives an EIRP of 30, 33 and 36 dBm on 5,
 * 10 and 20 MHz.
 */
export function findPermittedPower(input: PermittedPowerInput, pointer = ""): PermittedPower {
  if (input.rule === null) return { powerDbm: input.powerDbm, binding: null, eirpBackOffDb: 0 };
  const rule = findRule(input.rule, pointer);
  checkBand(rule, input, pointer);
  let powerDbm = input.powerDbm;
  let binding: BindingLimit | null = null;
  for (const [name, limitDbm] of listLimits(rule, input)) {
    if (limitDbm >= powerDbm) continue;
    powerDbm = limitDbm;
    binding = name;
  }
  return { powerDbm, binding, eirpBackOffDb: input.powerDbm - powerDbm };
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

/** Returns the limits on conducted power that a row sets for this transmitter. */
function listLimits(rule: PowerRule, input: PermittedPowerInput): [BindingLimit, number][] {
  const widthDb = toDb(input.widthMhz);
  const netGainDb = input.gainDbi - input.lossDb;
  const overDb = rule.gainFreeDbi === null ? 0 : Math.max(netGainDb - rule.gainFreeDbi, 0) * rule.reductionPerDb;
  const mask = rule.elevationMask;
  const maskGainDb = mask && (input.gainAboveDbi?.(mask.aboveDeg) ?? input.gainDbi) - input.lossDb;
  const limits: [BindingLimit, number | null][] = [
    ["conducted", rule.conductedDbm],
    ["conducted", addDb(rule.conductedByWidthDbm, widthDb)],
    ["psd", addDb(rule.psdDbmPerMhz, widthDb)],
    ["eirp", addDb(rule.eirpDbm, -netGainDb)],
    ["psd-eirp", addDb(rule.psdEirpDbmPerMhz, widthDb - netGainDb)],
    ["elevation-mask", mask && mask.eirpDbm - (maskGainDb ?? 0)],
    ["antenna-gain", addDb(rule.conductedDbm, -overDb)],
    ["antenna-gain", addDb(addDb(rule.conductedByWidthDbm, widthDb), -overDb)],
    ["antenna-gain", addDb(rule.psdDbmPerMhz, widthDb - overDb)],
  ];
  return limits.filter((limit): limit is [BindingLimit, number] => limit[1] !== null);
}

function addDb(limit: number | null, db: number): number | null {
  return limit === null ? null : limit + db;
}
