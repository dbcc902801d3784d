import { buildIslandRequest, PROVIDER } from "./island-request.ts";

/** An invented patch array for a sector, two columns by ten rows: about 40 by 7 degrees at 5.75 GHz. */
export const PATCH_SECTOR = {
  id: "patch-40",
  kind: "patch-array",
  columns: 2,
  rows: 10,
  columnSpacingM: 0.034,
  rowSpacingM: 0.039,
  designFrequencyGhz: 5.75,
  feedLossDb: 1,
} as const;

/** An invented corrugated horn of about 45 degrees: less gain, very low side lobes. */
export const HORN_SECTOR = {
  id: "horn-45",
  kind: "horn",
  form: "corrugated",
  diameterM: 0.085,
  slantLengthM: 0.15,
  lossDb: 0.2,
} as const;

/** Bearings and levels of the external emitters in the scan at the mast; elsewhere it shows almost only noise. */
const EMITTERS = [
  { azimuthDeg: 100, levelDbm: -62 },
  { azimuthDeg: 150, levelDbm: -66 },
  { azimuthDeg: 250, levelDbm: -64 },
];
/** Noise of a scanner with a noise figure of 6 dB on 20 MHz, to a whole dB. */
const QUIET_DBM = -95;
const SCAN_WIDTH_DEG = 30;
const SCAN_STEP_DEG = 10;

/** Returns the reading of a scan antenna of 30 degrees at a bearing: each emitter through its beam, plus noise. */
function computeReadingDbm(azimuthDeg: number): number {
  const quietMw = 10 ** (QUIET_DBM / 10);
  const receivedMw = EMITTERS.reduce((sum, emitter) => {
    const offDeg = Math.abs(((azimuthDeg - emitter.azimuthDeg + 540) % 360) - 180);
    return sum + 10 ** ((emitter.levelDbm - Math.min(30, 12 * (offDeg / SCAN_WIDTH_DEG) ** 2)) / 10);
  }, quietMw);
  return Math.round(100 * Math.log10(receivedMw)) / 10;
}

/** The other channel, on which the scan shows only noise, MHz. */
const CLEAR_MHZ = 5825;

/** The western mast covers the north with a patch array, and external emitters add noise beside and behind it. */
function buildNoisyBase() {
  const request = buildIslandRequest();
  const [north] = request.sectors;
  const azimuthsDeg = Array.from({ length: 360 / SCAN_STEP_DEG }, (_, index) => index * SCAN_STEP_DEG);
  return {
    ...request,
    name: `${PROVIDER}: west-top looks north, with external emitters around`,
    sites: request.sites.filter(({ id }) => id === north.site),
    antennas: [PATCH_SECTOR, ...request.antennas.filter(({ id }) => id === request.cpe.antenna)],
    sectors: [{ ...north, antenna: PATCH_SECTOR.id }],
    scans: [
      {
        id: "west-top-scan",
        site: north.site,
        heightAglM: north.heightAglM,
        antenna: { gainDbi: 15, widthDeg: SCAN_WIDTH_DEG },
        resolutionMhz: north.channel.widthMhz,
        noiseFigureDb: 6,
        polarisation: "both",
        statistic: "p90",
        at: "2026-05-04T20:00:00Z",
        readings: azimuthsDeg.flatMap((azimuthDeg) => [
          { azimuthDeg, centreMhz: north.channel.centreMhz, levelDbm: computeReadingDbm(azimuthDeg) },
          { azimuthDeg, centreMhz: CLEAR_MHZ, levelDbm: QUIET_DBM },
        ]),
      },
    ],
  };
}

/** Returns a comparison of the invented provider, as JSON before defaults: the noisy sector moves to the clear channel. */
export function buildChannelComparison() {
  const base = buildNoisyBase();
  const [{ id, channel }] = base.sectors;
  const change = { kind: "channel", sector: id, channel: { ...channel, centreMhz: CLEAR_MHZ } };
  return { version: 1, base, changes: [change] };
}

/** Returns a comparison of the invented provider, as JSON before defaults: a horn replaces the patch array. */
export function buildAntennaComparison() {
  const base = buildNoisyBase();
  return { version: 1, base, changes: [{ kind: "swap-antenna", sector: base.sectors[0].id, antenna: HORN_SECTOR }] };
}
