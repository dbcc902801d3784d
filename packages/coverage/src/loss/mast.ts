import { findGeodesic, fitWindow, type LatticeWindow, type LonLat } from "@fellmark/geodesy";
import { type CoverageRequest, FAR_SHIFT, findZoom, MAX_REACH_M, type SiteSpec } from "@fellmark/network";
import { MEAN_EARTH_RADIUS_KM } from "@fellmark/units";

/** A disc around a mast whose cells get a loss. */
export interface MastDisc {
  radiusM: number;
  window: LatticeWindow;
}

/** One place and height from which sectors or an emitter send: what a sweep is made for. */
export interface Mast {
  site: SiteSpec;
  heightAglM: number;
  /** Frequency of the diffraction loss, GHz; see MAX_DEVIATION. */
  frequencyGhz: number;
  /** The service disc, on the area's lattice; null where it lies off the area. */
  near: MastDisc | null;
  /** As far as the mast is heard in the area, on a coarser lattice; null where nobody else sends. */
  far: MastDisc | null;
}

interface Transmitter {
  site: SiteSpec;
  heightAglM: number;
  centreMhz: number;
}

/** Returns all transmitters: the sectors in their order, then the emitters. */
function listMastTransmitters(request: CoverageRequest): Transmitter[] {
  const siteOf = (id: string) => request.sites.find((site) => site.id === id) as SiteSpec;
  return [
    ...request.sectors.map(({ site, heightAglM, channel }) => ({
      site: siteOf(site),
      heightAglM,
      centreMhz: channel.centreMhz,
    })),
    ...request.emitters.map(({ id, lon, lat, heightAglM, channel }) => ({
      site: { id, lon, lat },
      heightAglM,
      centreMhz: channel.centreMhz,
    })),
  ];
}

/**
 * The masts of a request, one per place, height and sweep frequency, and for each transmitter the number of its mast.
 */
export function listMasts(request: CoverageRequest): { masts: Mast[]; mastOfSource: number[] } {
  const transmitters = listMastTransmitters(request);
  const masts = new Map<string, Mast>();
  const keys = transmitters.map((transmitter) => {
    const { site, heightAglM } = transmitter;
    const frequencyGhz = sweepFrequencyGhz(transmitters, transmitter);
    const key = JSON.stringify([site.id, site.lon, site.lat, heightAglM, frequencyGhz]);
    if (!masts.has(key)) masts.set(key, { site, heightAglM, frequencyGhz, ...findDiscs(request, site) });
    return key;
  });
  const order = [...masts.keys()];
  return { masts: [...masts.values()], mastOfSource: keys.map((key) => order.indexOf(key)) };
}

/**
 * Greatest relative distance of a channel from the frequency of its sweep: the diffraction loss errs by 0.05 dB at most
 * (a test).
 */
export const MAX_DEVIATION = 0.0078;

/** Sweep frequencies lie on a grid of such steps, so that a loss is found again. */
const GRID_STEP = 0.001;

/**
 * Frequency that a transmitter's loss is swept at: one for all on a mast where their channels lie close enough
 * together, so that they share one sweep; else that of its own channel.
 */
function sweepFrequencyGhz(all: readonly Transmitter[], { site, heightAglM, centreMhz }: Transmitter): number {
  const onMast = all.filter((other) => other.site.id === site.id && other.heightAglM === heightAglM);
  const channelsGhz = onMast.map((other) => other.centreMhz / 1000);
  const lowest = Math.min(...channelsGhz);
  const highest = Math.max(...channelsGhz);
  const shared = roundFrequencyGhz(Math.sqrt(lowest * highest));
  const fits = lowest >= shared * (1 - MAX_DEVIATION) && highest <= shared * (1 + MAX_DEVIATION);
  return fits ? shared : roundFrequencyGhz(centreMhz / 1000);
}

function roundFrequencyGhz(frequencyGhz: number): number {
  const step = Math.log1p(GRID_STEP);
  return Number(Math.exp(Math.round(Math.log(frequencyGhz) / step) * step).toPrecision(6));
}

function findDiscs(request: CoverageRequest, site: LonLat): Pick<Mast, "near" | "far"> {
  const { radiusM } = request.area;
  const zoom = findZoom(request);
  const apartM = listUsedSites(request).map((other) => findGeodesic(site, other).distanceM);
  const isNear = Math.min(...apartM) < 2 * radiusM;
  const isAlone = request.sectors.length + request.emitters.length === 1;
  const farM = Math.max(radiusM, Math.min(MAX_REACH_M, Math.max(...apartM) + radiusM));
  return {
    near: isNear ? { radiusM, window: fitWindow([site], radiusM, zoom) } : null,
    far: isAlone ? null : { radiusM: farM, window: fitWindow([site], farM, zoom - FAR_SHIFT) },
  };
}

function listUsedSites(request: CoverageRequest): SiteSpec[] {
  const used = new Set(request.sectors.map((sector) => sector.site));
  return request.sites.filter(({ id }) => used.has(id));
}

/** True where everybody who sends stands on one site: then nobody is heard off the axis of a CPE. */
export function isOneSite({ emitters }: CoverageRequest, masts: readonly Mast[]): boolean {
  return emitters.length === 0 && masts.every(({ site }) => site.id === masts[0].site.id);
}

export function findEffectiveEarthRadiusM(request: CoverageRequest): number {
  return request.model.earthRadiusFactor * MEAN_EARTH_RADIUS_KM * 1000;
}
