import type { CutParameters, SideLobe } from "../measure/cut-parameters.ts";
import type { AntennaParameters } from "../measure/measure-antenna.ts";
import type { BeamEfficiency, PortParameters } from "../measure/measure-pattern.ts";

interface Row {
  label: string;
  digits: number;
  of(port: PortParameters): number | null | undefined;
}

const ROWS: readonly Row[] = [
  { label: "gain, dBi", digits: 2, of: (port) => port.peakGainDbi },
  { label: "peak at azimuth, degrees", digits: 1, of: (port) => port.peakAzimuthDeg },
  { label: "peak at elevation, degrees", digits: 1, of: (port) => port.peakElevationDeg },
  ...listCutRows("across", (port) => port.azimuth),
  ...listCutRows("up and down", (port) => port.elevation),
  { label: "front to back within 30 degrees, dB", digits: 1, of: (port) => port.frontToBackDb },
  { label: "front to straight behind, dB", digits: 1, of: (port) => port.straightBehindDb },
  { label: "cross-polar below co-polar in the beam, dB", digits: 1, of: (port) => port.crossPolarDb },
  { label: "mean gain around outside the lobe, dBi", digits: 1, of: (port) => port.azimuth.meanOutsideLobeDbi },
  { label: "sphere integral", digits: 3, of: (port) => port.sphereMean },
  toPercentRow("main-beam efficiency, %", "mainLobe"),
  toPercentRow("in the cone of 2.5 half-power widths, %", "cone"),
  toPercentRow("in the service window, %", "window"),
];

/**
 * The measures as words, a row each: what it is, then one value for every antenna. Where ports and frequencies differ
 * the value is a range; "-" is not known, refused or absent.
 */
export function measureTable(antennas: readonly AntennaParameters[]): string[][] {
  return ROWS.map(({ label, digits, of }) => [
    label,
    ...antennas.map(({ atFrequency }) => {
      const values = atFrequency.flatMap(({ ports }) => ports.map(of));
      return formatRange(values, digits);
    }),
  ]);
}

/** Why an antenna has no beam efficiency, once for every reason. */
export function listMissingEfficiencies({ atFrequency }: AntennaParameters): string[] {
  const reasons = atFrequency.flatMap(({ ports }) => ports.map(({ efficiencyRefusal }) => efficiencyRefusal));
  return [...new Set(reasons.filter((reason) => reason !== null))];
}

function listCutRows(plane: string, cut: (port: PortParameters) => CutParameters): Row[] {
  const lobe = (name: string, pick: (parameters: CutParameters) => SideLobe | null): Row[] => [
    { label: `${name} ${plane}, dB`, digits: 1, of: (port) => pick(cut(port))?.levelDb },
    { label: `  off the peak, degrees`, digits: 1, of: (port) => toAbsolute(pick(cut(port))?.offDeg) },
  ];
  return [
    { label: `half-power width ${plane}, degrees`, digits: 1, of: (port) => cut(port).halfPowerWidthDeg },
    ...lobe("first side lobe", ({ firstSideLobe }) => firstSideLobe),
    ...lobe("worst side lobe", ({ worstSideLobe }) => worstSideLobe),
  ];
}

function toAbsolute(value: number | undefined): number | undefined {
  return value === undefined ? undefined : Math.abs(value);
}

function toPercentRow(label: string, share: keyof BeamEfficiency): Row {
  return { label, digits: 1, of: ({ efficiency }) => efficiency && 100 * efficiency[share] };
}

function formatRange(values: readonly (number | null | undefined)[], digits: number): string {
  const known = values.filter((value) => typeof value === "number");
  if (known.length === 0) return "-";
  const [least, most] = [formatNumber(Math.min(...known), digits), formatNumber(Math.max(...known), digits)];
  return least === most ? least : `${least} to ${most}`;
}

/** Never a zero with a minus. */
function formatNumber(value: number, digits: number): string {
  return value.toFixed(digits).replace(/^-(0(\.0*)?)$/, "$1");
}
