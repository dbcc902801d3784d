import { geodesicBetween, type LatticeWindow, type LonLat, windowAround } from "@fellmark/geodesy";
import { type CoverageRequest, type SectorSpec, type SiteSpec, zoomOf } from "@fellmark/network";
import { MEAN_EARTH_RADIUS_KM } from "@fellmark/units";

/** Cells beyond which a mast's power is not followed; farther sectors are not heard. */
export const MAX_REACH_M = 80_000;

/** One place and height from which sectors send: what a sweep is made for. */
export interface Mast {
  site: SiteSpec;
  heightAglM: number;
  /** Range of the sweep: the service radius, or farther where the mast is heard in another site's disc. */
  reachM: number;
  /** Frequency of the diffraction loss, GHz; see MAX_DEVIATION. */
  frequencyGhz: number;
  window: LatticeWindow;
}

/** The masts of a request, one per site, height and sweep frequency, and for each sector the number of its mast. */
export function mastsOf(request: CoverageRequest): { masts: Mast[]; mastOfSector: number[] } {
  const masts = new Map<string, Mast>();
  const keys = request.sectors.map((sector) => {
    const site = request.sites.find((candidate) => candidate.id === sector.site) as SiteSpec;
    const frequencyGhz = sweepFrequencyGhz(request, sector);
    const key = JSON.stringify([site.lon, site.lat, sector.heightAglM, frequencyGhz]);
    if (!masts.has(key)) {
      const reachM = reachOf(request, site);
      const window = windowAround([site], reachM, zoomOf(request));
      masts.set(key, { site, heightAglM: sector.heightAglM, reachM, frequencyGhz, window });
    }
    return key;
  });
  const order = [...masts.keys()];
  return { masts: [...masts.values()], mastOfSector: keys.map((key) => order.indexOf(key)) };
}

/** How far a channel may lie from the frequency of its sweep: the diffraction loss errs by 0.05 dB at most (a test). */
export const MAX_DEVIATION = 0.0078;

/** Sweep frequencies lie on a grid of such steps, so that a loss is found again. */
const GRID_STEP = 0.001;

/**
 * Frequency that a sector's loss is swept at: one for all sectors of a mast where their channels lie close enough
 * together, so that they share one sweep; else that of its own channel.
 */
function sweepFrequencyGhz(request: CoverageRequest, sector: SectorSpec): number {
  const onMast = request.sectors.filter(
    ({ site, heightAglM }) => site === sector.site && heightAglM === sector.heightAglM,
  );
  const channelsGhz = onMast.map(({ channel }) => channel.centreMhz / 1000);
  const lowest = Math.min(...channelsGhz);
  const highest = Math.max(...channelsGhz);
  const shared = roundedFrequencyGhz(Math.sqrt(lowest * highest));
  const fits = lowest >= shared * (1 - MAX_DEVIATION) && highest <= shared * (1 + MAX_DEVIATION);
  return fits ? shared : roundedFrequencyGhz(sector.channel.centreMhz / 1000);
}

function roundedFrequencyGhz(frequencyGhz: number): number {
  const step = Math.log1p(GRID_STEP);
  return Number(Math.exp(Math.round(Math.log(frequencyGhz) / step) * step).toPrecision(6));
}

function reachOf(request: CoverageRequest, site: LonLat): number {
  const used = new Set(request.sectors.map((sector) => sector.site));
  const others = request.sites.filter(({ id }) => used.has(id)).map((other) => geodesicBetween(site, other).distanceM);
  return Math.max(request.area.radiusM, Math.min(MAX_REACH_M, Math.max(...others) + request.area.radiusM));
}

export function effectiveEarthRadiusM(request: CoverageRequest): number {
  return request.model.earthRadiusFactor * MEAN_EARTH_RADIUS_KM * 1000;
}
