import type { CheckedParts, Finding, FindingRow } from "./finding.ts";

/** Conducted powers of radios at the mast and at the subscriber. Common practice, no source. */
const LOW_DBM = 8;
const HIGH_DBM = 30;

/** Greatest power that a number below LOW_DBM may mean in watts. */
const MAX_WATTS = 5;

const LARGE_FEEDER_LOSS_DB = 10;

/** EIRP beyond which an external emitter is rare in these bands. Common practice, no source. */
const HIGH_EIRP_DBM = 60;

/** Watts for dBm, EIRP for conducted power, lengths for losses, more streams than chains. */
export function findPowerSlips(parts: CheckedParts): Finding[] {
  const streamsById = new Map(parts.radios.map(({ id, streams }) => [id, streams]));
  const ends = [
    ...parts.sectors.map((spec, index) => ({ pointer: `/sectors/${index}`, row: spec.id, spec })),
    ...parts.cpes,
  ];
  return [
    ...ends.flatMap(({ spec, ...at }) => [
      ...findPowerSlip(at, spec),
      ...findFeederSlip(at, spec),
      ...findChainSlip(at, spec, streamsById.get(spec.radio)),
    ]),
    ...parts.emitters.flatMap(({ id, eirpDbm }, index) =>
      findEirpSlip({ pointer: `/emitters/${index}`, row: id }, eirpDbm),
    ),
  ];
}

type End = CheckedParts["sectors"][number] | CheckedParts["cpes"][number]["spec"];

function findPowerSlip({ pointer, row }: FindingRow, { powerDbm }: End): Finding[] {
  const at = { pointer: `${pointer}/powerDbm`, row, severity: "warning" as const };
  if (powerDbm > HIGH_DBM) {
    return [
      {
        ...at,
        code: "power_is_eirp",
        detail: `a conducted power of ${powerDbm} dBm (${(10 ** (powerDbm / 10 - 3)).toFixed(1)} W) is unusual, over ${HIGH_DBM} dBm`,
        likelyCause: "it is the EIRP, which includes the antenna's gain",
        suggestion: "state the power at the radio's port: EIRP less gain plus feeder loss",
      },
    ];
  }
  if (powerDbm >= LOW_DBM) return [];
  const watts = powerDbm > 0 && powerDbm <= MAX_WATTS;
  return [
    {
      ...at,
      code: watts ? "power_in_watts" : "power_low",
      detail: `a power of ${powerDbm} dBm (${(10 ** (powerDbm / 10)).toFixed(2)} mW) is unusual, under ${LOW_DBM} dBm`,
      likelyCause: watts ? "the power is in watts" : "a sign or a digit is wrong, or the unit is another",
      suggestion: watts ? `if so, state ${(10 * Math.log10(powerDbm) + 30).toFixed(1)}` : "state the power in dBm",
    },
  ];
}

function findFeederSlip({ pointer, row }: FindingRow, { feederLossDb }: End): Finding[] {
  if (feederLossDb <= LARGE_FEEDER_LOSS_DB) return [];
  return [
    {
      code: "feeder_loss_large",
      pointer: `${pointer}/feederLossDb`,
      row,
      detail: `a feeder loss of ${feederLossDb} dB is unusual, over ${LARGE_FEEDER_LOSS_DB} dB`,
      likelyCause: "it is the length of the feeder in metres",
      suggestion: 'if so, state "feeder" with cable, lengthM and connectors',
      severity: "warning",
    },
  ];
}

function findChainSlip({ pointer, row }: FindingRow, { chains }: End, streams = 1): Finding[] {
  if (streams <= chains) return [];
  return [
    {
      code: "chains_below_streams",
      pointer: `${pointer}/chains`,
      row,
      detail: `${chains} chain cannot transmit the ${streams} streams of its radio`,
      likelyCause: "a radio with one port has the table of one with two",
      suggestion: "state 2 chains here, or 1 stream for the radio",
      severity: "warning",
    },
  ];
}

function findEirpSlip({ pointer, row }: FindingRow, eirpDbm: number): Finding[] {
  if (eirpDbm <= HIGH_EIRP_DBM) return [];
  return [
    {
      code: "eirp_high",
      pointer: `${pointer}/eirpDbm`,
      row,
      detail: `an EIRP of ${eirpDbm} dBm is unusual, over ${HIGH_EIRP_DBM} dBm`,
      likelyCause: "it is in milliwatts, or a digit is wrong",
      suggestion: `if it is in milliwatts, state ${(10 * Math.log10(eirpDbm)).toFixed(1)}`,
      severity: "warning",
    },
  ];
}
