import { findGeodesic } from "@fellmark/geodesy";
import { UNSTATED_TIMING } from "../coverage-request.ts";
import type { CheckedParts, Finding } from "./finding.ts";

/** Sectors of one mast that point nearer to each other than this look the same way. */
const SAME_AZIMUTH_DEG = 5;

/** An emitter nearer to an own mast than this stands on it. */
const SAME_MAST_M = 30;

type Sector = CheckedParts["sectors"][number];

/** Sectors of one mast with one azimuth and one channel, own sectors listed as emitters, and sectors without timing. */
export function findChannelSlips(parts: CheckedParts): Finding[] {
  return [...findAlikeSectors(parts.sectors), ...findOwnEmitters(parts), ...findUnstatedTiming(parts.sectors)];
}

/** One finding for all sectors that state no timing group; none where a single sector stands alone. */
function findUnstatedTiming(sectors: readonly Sector[]): Finding[] {
  const unstated = sectors.filter(({ timingGroup }) => timingGroup === UNSTATED_TIMING);
  if (unstated.length === 0 || sectors.length === 1) return [];
  const { id } = unstated[0];
  return [
    {
      code: "timing_not_stated",
      pointer: `/sectors/${sectors.findIndex((sector) => sector.id === id)}/timingGroup`,
      row: id,
      detail: `${unstated.length} of ${sectors.length} sectors state no timing group and are taken as synchronised`,
      likelyCause: "the network is synchronised by GPS, or its timing was not stated",
      suggestion: "state timingGroup: one name for sectors that switch together, another name for each that does not",
      severity: "warning",
    },
  ];
}

function findAlikeSectors(sectors: readonly Sector[]): Finding[] {
  return sectors.flatMap((sector, index): Finding[] => {
    const other = sectors.slice(0, index).find((before) => isAlike(sector, before));
    if (!other) return [];
    const { centreMhz, widthMhz } = sector.channel;
    return [
      {
        code: "sectors_alike",
        pointer: `/sectors/${index}/azimuthDeg`,
        row: sector.id,
        detail: `${sector.id} and ${other.id} of site ${sector.site} have one azimuth, ${sector.azimuthDeg} degrees, and one channel, ${centreMhz} MHz (${widthMhz} MHz wide)`,
        likelyCause: "a row was copied and its azimuth or channel not changed",
        suggestion: "state another azimuth or another channel; as it is both interfere fully",
        severity: "warning",
      },
    ];
  });
}

function isAlike(one: Sector, other: Sector): boolean {
  const turnDeg = Math.abs(((one.azimuthDeg - other.azimuthDeg + 540) % 360) - 180);
  const apartMhz = Math.abs(one.channel.centreMhz - other.channel.centreMhz);
  const overlaps = apartMhz < (one.channel.widthMhz + other.channel.widthMhz) / 2;
  return one.site === other.site && turnDeg < SAME_AZIMUTH_DEG && overlaps;
}

function findOwnEmitters({ emitters, sites, sectors }: CheckedParts): Finding[] {
  return emitters.flatMap(({ id, channel, ...place }, index): Finding[] => {
    const own = sectors.find((sector) => {
      const site = sites.find((one) => one.id === sector.site);
      const isOnMast = site !== undefined && findGeodesic(site, place).distanceM < SAME_MAST_M;
      return isOnMast && sector.channel.centreMhz === channel.centreMhz;
    });
    if (!own) return [];
    return [
      {
        code: "emitter_is_own",
        pointer: `/emitters/${index}`,
        row: id,
        detail: `emitter ${id} stands on the mast of ${own.id} and uses its channel, ${channel.centreMhz} MHz`,
        likelyCause: "an own sector was listed as an external emitter",
        suggestion: "remove the emitter: own sectors are counted anyway",
        severity: "warning",
      },
    ];
  });
}
