import { findGeodesic, type LonLat } from "@fellmark/geodesy";
import type { CheckedParts, Finding } from "./finding.ts";
import { listPlaceSlips } from "./place-slips.ts";

/** Sites of a small provider lie nearer to each other than this. Common practice. */
const FAR_SITE_M = 300_000;

/** A subscriber farther from the mast is not served by it: the greatest radius of a coverage. */
const FAR_SUBSCRIBER_M = 60_000;

interface Row {
  pointer: string;
  row: string;
  place: LonLat;
}

/** Zero coordinates, repeated sites, and places that are far from the rest, with what brings them near. */
export function placeFindings({ sites, sectors, subscribers, emitters }: CheckedParts): Finding[] {
  const siteById = new Map(sites.map((site) => [site.id, site]));
  const siteBySector = new Map(sectors.map((sector) => [sector.id, siteById.get(sector.site)]));
  return [
    ...sites.flatMap((site, index) => [
      ...findZeroPlace(toRow("sites", index, site)),
      ...findRepeatedSite(sites, index),
    ]),
    // Of two sites that lie apart, nobody can tell which one is wrong.
    ...(sites.length < 3 ? [] : sites).flatMap((site, index) =>
      findIfFar(toRow("sites", index, site), findMiddle(sites), FAR_SITE_M),
    ),
    ...emitters.flatMap((emitter, index) =>
      findIfFar(toRow("emitters", index, emitter), findMiddle(sites), FAR_SITE_M),
    ),
    ...subscribers.flatMap((subscriber, index) => {
      const row = toRow("subscribers", index, subscriber);
      const site = siteBySector.get(subscriber.sector);
      return [...findIfFar(row, site, FAR_SUBSCRIBER_M), ...isOnMast(row, site)];
    }),
  ];
}

function findZeroPlace({ pointer, row, place: { lon, lat } }: Row): Finding[] {
  if (lon !== 0 || lat !== 0) return [];
  return [
    {
      code: "place_is_zero",
      pointer,
      row,
      detail: "longitude and latitude are both 0",
      likelyCause: "the cells of the sheet were empty",
      suggestion: "state longitude and latitude",
      severity: "error",
    },
  ];
}

function findRepeatedSite(sites: CheckedParts["sites"], index: number): Finding[] {
  const { id, lon, lat } = sites[index];
  const first = sites.slice(0, index).find((site) => site.lon === lon && site.lat === lat);
  if (!first) return [];
  return [
    {
      code: "sites_at_one_place",
      pointer: `/sites/${index}`,
      row: id,
      detail: `sites ${first.id} and ${id} are both at longitude ${lon}, latitude ${lat}`,
      likelyCause: "a row was copied and its place not changed",
      suggestion: "state the other place, or one site for the sectors of both",
      severity: "warning",
    },
  ];
}

function isOnMast({ pointer, row, place }: Row, site: (LonLat & { id: string }) | undefined): Finding[] {
  if (site?.lon !== place.lon || site.lat !== place.lat) return [];
  return [
    {
      code: "subscriber_on_mast",
      pointer,
      row,
      detail: `subscriber ${row} is at the place of the mast, site ${site.id}`,
      likelyCause: "the place of the site was entered for the subscriber's",
      suggestion: "state the subscriber's place",
      severity: "warning",
    },
  ];
}

function toRow(list: string, index: number, { id, lon, lat }: LonLat & { id: string }): Row {
  return { pointer: `/${list}/${index}`, row: id, place: { lon, lat } };
}

/** Median of the longitudes and of the latitudes: a few wrong places do not move it. */
function findMiddle(places: readonly LonLat[]): LonLat {
  const median = (values: number[]) => values.sort((a, b) => a - b)[values.length >> 1] ?? 0;
  return { lon: median(places.map(({ lon }) => lon)), lat: median(places.map(({ lat }) => lat)) };
}

function findIfFar({ pointer, row, place }: Row, middle: LonLat | undefined, limitM: number): Finding[] {
  if (!middle) return [];
  const distanceM = findGeodesic(place, middle).distanceM;
  if (distanceM <= limitM) return [];
  const meant = listPlaceSlips(place).find((slip) => findGeodesic(slip.place, middle).distanceM <= limitM);
  const detail = `longitude ${place.lon}, latitude ${place.lat} is ${Math.round(distanceM / 1000)} km from the rest, more than ${limitM / 1000} km`;
  const { lon, lat } = meant?.place ?? place;
  return [
    {
      code: meant?.code ?? "far_away",
      pointer,
      row,
      detail,
      likelyCause: meant?.cause ?? "a digit of longitude or latitude is wrong",
      suggestion: meant ? `if so, state longitude ${lon}, latitude ${lat}` : "check longitude and latitude",
      severity: meant ? "error" : "warning",
    },
  ];
}
