import { geodesicBetween, type LonLat } from "@fellmark/geodesy";
import type { NetworkDocument } from "../network-document.ts";
import type { Finding } from "./finding.ts";

/** Sites of a small provider lie nearer to each other than this. Common practice. */
const FAR_SITE_M = 300_000;

/** A subscriber farther from the mast is not served by it: the greatest radius of a coverage. */
const FAR_SUBSCRIBER_M = 60_000;

interface Row {
  pointer: string;
  row: string;
  place: LonLat;
}

/** Sites, subscribers and emitters that are far away, and near once longitude and latitude are put right. */
export function placeFindings({ sites, sectors, subscribers, emitters }: NetworkDocument): Finding[] {
  const siteById = new Map(sites.map((site) => [site.id, site]));
  const siteOf = new Map(sectors.map((sector) => [sector.id, siteById.get(sector.site)]));
  return [
    // Of two sites that lie apart, nobody can tell which one is wrong.
    ...(sites.length < 3 ? [] : sites).flatMap((site, index) =>
      farFrom(rowOf("sites", index, site), middleOf(sites), FAR_SITE_M),
    ),
    ...emitters.flatMap((emitter, index) => farFrom(rowOf("emitters", index, emitter), middleOf(sites), FAR_SITE_M)),
    ...subscribers.flatMap((subscriber, index) =>
      farFrom(rowOf("subscribers", index, subscriber), siteOf.get(subscriber.sector), FAR_SUBSCRIBER_M),
    ),
  ];
}

function rowOf(list: string, index: number, { id, lon, lat }: LonLat & { id: string }): Row {
  return { pointer: `/${list}/${index}`, row: id, place: { lon, lat } };
}

/** Median of the longitudes and of the latitudes: a few wrong places do not move it. */
function middleOf(places: readonly LonLat[]): LonLat {
  const median = (values: number[]) => values.sort((a, b) => a - b)[values.length >> 1] ?? 0;
  return { lon: median(places.map(({ lon }) => lon)), lat: median(places.map(({ lat }) => lat)) };
}

function farFrom({ pointer, row, place }: Row, middle: LonLat | undefined, limitM: number): Finding[] {
  if (!middle) return [];
  const distanceM = geodesicBetween(place, middle).distanceM;
  if (distanceM <= limitM) return [];
  const meant = slips(place).find((slip) => geodesicBetween(slip.place, middle).distanceM <= limitM);
  const detail = `lies ${Math.round(distanceM / 1000)} km from the rest, more than ${limitM / 1000} km`;
  const { lon, lat } = meant?.place ?? place;
  return [
    {
      code: meant?.code ?? "far-away",
      pointer,
      row,
      detail,
      likelyCause: meant?.cause ?? "a digit of longitude or latitude is wrong",
      suggestion: meant ? `if so, state longitude ${lon}, latitude ${lat}` : "check longitude and latitude",
      severity: meant ? "error" : "warning",
    },
  ];
}

/** The slips that happen with coordinates, each with the place that was meant. */
function slips({ lon, lat }: LonLat) {
  const all = [
    { code: "coordinates-swapped", cause: "longitude and latitude are swapped", place: { lon: lat, lat: lon } },
    { code: "longitude-sign", cause: "the sign of the longitude is wrong", place: { lon: -lon, lat } },
    { code: "latitude-sign", cause: "the sign of the latitude is wrong", place: { lon, lat: -lat } },
    {
      code: "coordinates-swapped",
      cause: "longitude and latitude are swapped and a sign is lost",
      place: { lon: -lat, lat: lon },
    },
  ];
  return all.filter(({ place }) => Math.abs(place.lat) <= 90);
}
