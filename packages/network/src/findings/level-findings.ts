import type { CheckedParts, Finding } from "./finding.ts";

/** No receiver of these links reads a level above this, dBm. Common practice, no source. */
const MAX_LEVEL_DBM = -10;

/** Measured levels without their minus sign. */
export function findLevelSlips({ subscribers, scans }: CheckedParts): Finding[] {
  const measured = subscribers.flatMap(({ id, measured: level }, index) =>
    level ? [{ pointer: `/subscribers/${index}/measured/signalDbm`, row: id, levelDbm: level.signalDbm }] : [],
  );
  const scanned = scans.flatMap(({ id, readings }, index) => {
    const at = readings.findIndex(({ levelDbm }) => levelDbm > MAX_LEVEL_DBM);
    const pointer = `/scans/${index}/readings/${at}/levelDbm`;
    return at < 0 ? [] : [{ pointer, row: id, levelDbm: readings[at].levelDbm }];
  });
  return [...measured, ...scanned].flatMap(({ levelDbm, ...at }): Finding[] =>
    levelDbm <= MAX_LEVEL_DBM
      ? []
      : [
          {
            ...at,
            code: "level_sign",
            detail: `a measured level of ${levelDbm} dBm is unusual, over ${MAX_LEVEL_DBM} dBm`,
            likelyCause: levelDbm > 0 ? "the minus sign is missing" : "a digit is missing, or it is another quantity",
            suggestion: levelDbm > 0 ? `if so, state ${-levelDbm}` : "state the level at the receiver's port in dBm",
            severity: "warning",
          },
        ],
  );
}
