import { toDb } from "@fellmark/units";

/** Limits of one band, totals over the transmit chains; null where the rule has no such limit. */
export interface PowerRule {
  id: string;
  title: string;
  /** Edges of the band; a channel must lie inside with its whole width. */
  bandMhz: readonly [number, number];
  conductedDbm: number | null;
  /** Further conducted limit: this plus 10 log10 of the width in MHz. */
  conductedByWidthDbm: number | null;
  psdDbmPerMhz: number | null;
  eirpDbm: number | null;
  psdEirpDbmPerMhz: number | null;
  /** Antenna gain, less losses, above which conducted power and density fall. */
  gainFreeDbi: number | null;
  /** Reduction for each dB of gain above that, dB. */
  reductionPerDb: number;
  /** Limit on the EIRP toward all directions above an elevation. */
  elevationMask: { aboveDeg: number; eirpDbm: number } | null;
  /** DFS channel: dfs detection may close it at any time. */
  dfs: boolean;
  source: string;
  /** False where the rule's own text was not read: check your licence and local rules. */
  verified: boolean;
}

/** Values of most rows. */
const USUAL = {
  conductedDbm: null,
  conductedByWidthDbm: null,
  psdDbmPerMhz: null,
  eirpDbm: null,
  psdEirpDbmPerMhz: null,
  gainFreeDbi: null,
  reductionPerDb: 1,
  elevationMask: null,
  dfs: false,
  verified: false,
} as const;

const PSD_30_DBM_PER_500_KHZ = 30 + toDb(2);
const PSD_8_DBM_PER_3_KHZ = 8 + toDb(1000 / 3);
const OUTDOOR_MASK = { aboveDeg: 30, eirpDbm: 21 };

/** Rows that are not verified are from memory, some corroborated by pages of regulators: their texts were not read. */
export const POWER_RULES: readonly PowerRule[] = [
  {
    ...USUAL,
    id: "us-902-928",
    title: "United States, 902-928 MHz, digital modulation",
    bandMhz: [902, 928],
    conductedDbm: 30,
    psdDbmPerMhz: PSD_8_DBM_PER_3_KHZ,
    eirpDbm: 36,
    gainFreeDbi: 6,
    source: "47 CFR 15.247(b)(3), (b)(4), (e)",
  },
  {
    ...USUAL,
    id: "us-2400-ptmp",
    title: "United States, 2400-2483.5 MHz, point-to-multipoint",
    bandMhz: [2400, 2483.5],
    conductedDbm: 30,
    psdDbmPerMhz: PSD_8_DBM_PER_3_KHZ,
    eirpDbm: 36,
    gainFreeDbi: 6,
    source: "47 CFR 15.247(b)(3), (b)(4), (e)",
  },
  {
    ...USUAL,
    id: "us-2400-ptp",
    title: "United States, 2400-2483.5 MHz, fixed point-to-point",
    bandMhz: [2400, 2483.5],
    conductedDbm: 30,
    psdDbmPerMhz: PSD_8_DBM_PER_3_KHZ,
    gainFreeDbi: 6,
    reductionPerDb: 1 / 3,
    source: "47 CFR 15.247(c)(1)",
  },
  {
    ...USUAL,
    id: "us-5150-5250-outdoor",
    title: "United States, 5.15-5.25 GHz, outdoor access point",
    bandMhz: [5150, 5250],
    conductedDbm: 30,
    psdDbmPerMhz: 17,
    eirpDbm: 36,
    gainFreeDbi: 6,
    elevationMask: OUTDOOR_MASK,
    source: "47 CFR 15.407(a)(1)(i), read as revised on 5 October 2017",
    verified: true,
  },
  {
    ...USUAL,
    id: "us-5150-5250-ptp",
    title: "United States, 5.15-5.25 GHz, fixed point-to-point",
    bandMhz: [5150, 5250],
    conductedDbm: 30,
    psdDbmPerMhz: 17,
    eirpDbm: 53,
    gainFreeDbi: 23,
    source: "47 CFR 15.407(a)(1)(iii), read in 79 FR 76902 and as revised on 5 October 2017",
    verified: true,
  },
  {
    ...USUAL,
    id: "us-5150-5250-client",
    title: "United States, 5.15-5.25 GHz, client",
    bandMhz: [5150, 5250],
    conductedDbm: 24,
    psdDbmPerMhz: 11,
    eirpDbm: 30,
    gainFreeDbi: 6,
    source: "47 CFR 15.407(a)(1)(iv)",
  },
  ...[
    { id: "us-5250-5350", title: "United States, 5.25-5.35 GHz", bandMhz: [5250, 5350] as const },
    { id: "us-5470-5725", title: "United States, 5.47-5.725 GHz", bandMhz: [5470, 5725] as const },
  ].map((band) => ({
    ...USUAL,
    ...band,
    conductedDbm: 24,
    conductedByWidthDbm: 11,
    psdDbmPerMhz: 11,
    eirpDbm: 30,
    gainFreeDbi: 6,
    dfs: true,
    source: "47 CFR 15.407(a)(2)",
  })),
  {
    ...USUAL,
    id: "us-5725-5850-ptmp",
    title: "United States, 5.725-5.850 GHz, point-to-multipoint",
    bandMhz: [5725, 5850],
    conductedDbm: 30,
    psdDbmPerMhz: PSD_30_DBM_PER_500_KHZ,
    eirpDbm: 36,
    gainFreeDbi: 6,
    source: "47 CFR 15.407(a)(3)",
  },
  {
    ...USUAL,
    id: "us-5725-5850-ptp",
    title: "United States, 5.725-5.850 GHz, fixed point-to-point",
    bandMhz: [5725, 5850],
    conductedDbm: 30,
    psdDbmPerMhz: PSD_30_DBM_PER_500_KHZ,
    source: "47 CFR 15.407(a)(3)",
  },
  ...[
    { id: "us-5925-6425", title: "United States, 5.925-6.425 GHz", bandMhz: [5925, 6425] as const },
    { id: "us-6525-6875", title: "United States, 6.525-6.875 GHz", bandMhz: [6525, 6875] as const },
  ].map((band) => ({
    ...USUAL,
    ...band,
    title: `${band.title}, standard power under automated frequency coordination`,
    eirpDbm: 36,
    psdEirpDbmPerMhz: 23,
    elevationMask: OUTDOOR_MASK,
    source: "47 CFR 15.407(a)(4)",
  })),
  ...[
    { id: "us-5925-6425-fixed-client", title: "United States, 5.925-6.425 GHz", bandMhz: [5925, 6425] as const },
    { id: "us-6525-6875-fixed-client", title: "United States, 6.525-6.875 GHz", bandMhz: [6525, 6875] as const },
  ].map((band) => ({
    ...USUAL,
    ...band,
    title: `${band.title}, fixed client device under automated frequency coordination`,
    eirpDbm: 36,
    psdEirpDbmPerMhz: 23,
    elevationMask: OUTDOOR_MASK,
    source: "47 CFR 15.407(a)(4)",
  })),
  ...[
    { id: "us-5925-6425-client", title: "United States, 5.925-6.425 GHz", bandMhz: [5925, 6425] as const },
    { id: "us-6525-6875-client", title: "United States, 6.525-6.875 GHz", bandMhz: [6525, 6875] as const },
  ].map((band) => ({
    ...USUAL,
    ...band,
    title: `${band.title}, client of a standard-power access point`,
    eirpDbm: 30,
    psdEirpDbmPerMhz: 17,
    source: "47 CFR 15.407(a)(7)",
  })),
  {
    ...USUAL,
    id: "etsi-5470-5725-tpc",
    title: "Europe, 5.470-5.725 GHz, with transmit power control",
    bandMhz: [5470, 5725],
    eirpDbm: 30,
    psdEirpDbmPerMhz: 17,
    dfs: true,
    source: "EN 301 893 V2.1.1, table 2",
  },
  {
    ...USUAL,
    id: "etsi-5470-5725",
    title: "Europe, 5.470-5.725 GHz, without transmit power control",
    bandMhz: [5470, 5725],
    eirpDbm: 27,
    psdEirpDbmPerMhz: 14,
    dfs: true,
    source: "EN 301 893 V2.1.1, table 2",
  },
  {
    ...USUAL,
    id: "etsi-5725-5875",
    title: "Europe, 5.725-5.875 GHz, broadband fixed wireless access",
    bandMhz: [5725, 5875],
    eirpDbm: 36,
    psdEirpDbmPerMhz: 23,
    dfs: true,
    source: "ECC/REC(06)04; EN 302 502",
  },
  {
    ...USUAL,
    id: "etsi-5725-5875-mesh",
    title: "Europe, 5.725-5.875 GHz, mesh",
    bandMhz: [5725, 5875],
    eirpDbm: 33,
    psdEirpDbmPerMhz: 20,
    dfs: true,
    source: "ECC/REC(06)04; EN 302 502",
  },
];
