import { geodesicBetween, type LatticeWindow, type LonLat, windowAround } from "@fellmark/geodesy";
import { type CoverageRequest, type SiteSpec, zoomOf } from "@fellmark/network";
import { MEAN_EARTH_RADIUS_KM } from "@fellmark/units";

/** Cells beyond which a mast's power is not followed; farther sectors are not heard. */
export const MAX_REACH_M = 80_000;

/** One place and height from which sectors send: what a sweep is made for. */
export interface Mast {
  site: SiteSpec;
  heightAglM: number;
  /** Range of the sweep: the service radius, or farther where the mast is heard in another site's disc. */
  reachM: number;
  /** Frequency of the diffraction loss, GHz: that of its first sector, rounded to 1 %. */
  frequencyGhz: number;
  window: LatticeWindow;
}

/** The masts of a request, one per site, height and rounded frequency, and for each sector the number of its mast. */
export function mastsOf(request: CoverageRequest): { masts: Mast[]; mastOfSector: number[] } {
  const masts = new Map<string, Mast>();
  const keys = request.sectors.map((sector) => {
    const site = request.sites.find((candidate) => candidate.id === sector.site) as SiteSpec;
    const frequencyGhz = roundedFrequencyGhz(sector.channel.centreMhz / 1000);
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

/** Frequency on a grid of 1 % steps, so that neighbouring channels share one sweep (error under 0.05 dB, a test). */
export function roundedFrequencyGhz(frequencyGhz: number): number {
  const step = Math.log(1.01);
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
