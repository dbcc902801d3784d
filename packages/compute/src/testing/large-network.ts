import { parseNetwork } from "@fellmark/network";
import { buildSmallRequest, TILE } from "./small-world.ts";

/** Masts of three sectors each, strewn over the tile of the small world. @param random from 0 to 1. */
export function buildLargeNetwork(masts: number, random: () => number) {
  const { area: _area, quality: _quality, outputs: _outputs, cpe, ...shared } = buildSmallRequest();
  const [first] = shared.sectors;
  const sites = Array.from({ length: masts }, (_, index) => ({
    id: `m${index}`,
    lon: TILE.west + 0.02 + 0.96 * random(),
    lat: TILE.south + 0.02 + 0.96 * random(),
  }));
  const sectors = sites.flatMap(({ id }) =>
    [0, 120, 240].map((azimuthDeg) => {
      const channel = { ...first.channel, centreMhz: 5500 + 20 * Math.floor(10 * random()) };
      return { ...first, id: `${id}-${azimuthDeg}`, site: id, azimuthDeg, channel };
    }),
  );
  return parseNetwork({ ...shared, sites, sectors, zoom: 12, cpes: [{ id: "standard", ...cpe }] });
}
