import { type Coverage, findCellOfPlace, type Warning } from "@fellmark/coverage";
import type { CoverageRequest } from "@fellmark/network";

/** Ids that a warning names before it only counts. */
const MOST_NAMED = 5;

/** Subscribers whom the map does not reach: nobody hears them send. Counted, and the first named. */
export function listSubscriberWarnings(
  { subscribers }: CoverageRequest,
  { window }: Pick<Coverage, "window">,
): Warning[] {
  const off = subscribers.filter((subscriber) => findCellOfPlace(window, subscriber) < 0);
  if (off.length === 0) return [];
  const named = off.slice(0, MOST_NAMED).map(({ id }) => `"${id}"`);
  const more = off.length > named.length ? ` and ${off.length - named.length} more` : "";
  const detail = `${off.length} of ${subscribers.length} subscribers lie off the map and are left out: ${named.join(", ")}${more}`;
  return [{ code: "subscribers_off_map", pointer: "/subscribers", detail }, ...warnOfEmptied(subscribers, off)];
}

/** Sectors all of whose subscribers are left out: places are drawn for them as for sectors without any. */
function warnOfEmptied(all: CoverageRequest["subscribers"], off: CoverageRequest["subscribers"]): Warning[] {
  const countOf = (list: typeof all, sector: string) =>
    list.filter((subscriber) => subscriber.sector === sector).length;
  const sectors = [...new Set(off.map(({ sector }) => sector))];
  const empty = sectors.filter((sector) => countOf(off, sector) === countOf(all, sector));
  if (empty.length === 0) return [];
  const detail = `all subscribers of ${empty.map((id) => `"${id}"`).join(", ")} lie off the map: places drawn over its area stand for them`;
  return [{ code: "subscribers_drawn", pointer: "/subscribers", detail }];
}
