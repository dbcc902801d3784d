import type { LonLat } from "@fellmark/geodesy";
import type { CoverageRequest } from "@fellmark/network";

/** A place from which sectors of a site or an emitter send. */
export interface Station {
  /** Null for an emitter. */
  site: string | null;
  place: LonLat;
  /** NaN where it is not known. */
  groundAmslM: number;
  masts: StationMast[];
}

/** Antennas of one height. */
export interface StationMast {
  heightAglM: number;
  /** Numbers of the senders: sectors in their order, then emitters. */
  senders: number[];
}

/**
 * The sites that have sectors, then the emitters.
 * @param heightAmslM ground at a place.
 */
export function listStations(
  { sites, sectors, emitters }: CoverageRequest,
  heightAmslM: (lon: number, lat: number) => number,
): Station[] {
  const bySite = new Map<string, Map<number, number[]>>();
  sectors.forEach(({ site, heightAglM }, number) => {
    const masts = bySite.get(site) ?? new Map<number, number[]>();
    bySite.set(site, masts.set(heightAglM, [...(masts.get(heightAglM) ?? []), number]));
  });
  const ofSites = sites.flatMap(({ id, lon, lat }): Station[] => {
    const masts = bySite.get(id);
    if (!masts) return [];
    const groundAmslM = heightAmslM(lon, lat);
    return [
      {
        site: id,
        place: { lon, lat },
        groundAmslM,
        masts: [...masts].map(([heightAglM, senders]) => ({ heightAglM, senders })),
      },
    ];
  });
  const ofEmitters = emitters.map(({ lon, lat, heightAglM }, index): Station => {
    const masts = [{ heightAglM, senders: [sectors.length + index] }];
    return { site: null, place: { lon, lat }, groundAmslM: heightAmslM(lon, lat), masts };
  });
  return [...ofSites, ...ofEmitters];
}
