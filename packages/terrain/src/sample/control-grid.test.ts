import { findCrs, fitWindow, toLatitudeDeg, toLongitudeDeg } from "@fellmark/geodesy";
import { expect, it } from "vitest";
import { useCatalogue } from "../testing/terrain-folder.ts";
import { makeGeoTiff } from "../testing/tiff-maker.ts";
import { buildControlGrid, interpolatePositions } from "./control-grid.ts";
import { type GridGroup, groupFiles } from "./grid-group.ts";

/** Cells of every place are within 0.01 of direct projection, 20 km around a mast (SWEEP, "On the lattice"). */
it.each([
  { epsg: 4326, x: 9, y: 61, step: 1 / 3600, lon: 10, lat: 60, zoom: 12 },
  { epsg: 4326, x: 9, y: 61, step: 1 / 3600, lon: 10, lat: 60, zoom: 10 },
  { epsg: 4326, x: 9, y: 61, step: 1 / 3600, lon: 10, lat: 60, zoom: 14 },
  { epsg: 32632, x: 500_000, y: 6_700_000, step: 10, lon: 10, lat: 60, zoom: 12 },
  { epsg: 32632, x: 500_000, y: 6_700_000, step: 10, lon: 14, lat: 60, zoom: 13 },
  { epsg: 32145, x: 400_000, y: 200_000, step: 10, lon: -72, lat: 44, zoom: 12 },
  { epsg: 5646, x: 1_400_000, y: 800_000, step: 100, lon: -72, lat: 44, zoom: 12 },
  { epsg: 27700, x: 400_000, y: 400_000, step: 50, lon: -1.5, lat: 53, zoom: 12 },
  { epsg: 3857, x: 1_000_000, y: 8_400_000, step: 30, lon: 10, lat: 60, zoom: 12 },
])("EPSG:$epsg at $lat, zoom $zoom", async ({ epsg, x, y, step, lon, lat, zoom }) => {
  const bytes = makeGeoTiff({ epsg, x, y, step, widthPx: 16, heightPx: 16, value: () => 0 });
  await useCatalogue({ "a.tif": bytes }, ({ files }) => {
    const group = groupFiles(files, [-180, -85, 180, 85])[0] as GridGroup;
    const window = fitWindow([{ lon, lat }], 20_000, zoom);
    const grid = buildControlGrid(group, window);
    const cols = new Float64Array(window.width);
    const rows = new Float64Array(window.width);
    let worst = 0;
    for (let row = 0; row < window.height; row += 37) {
      interpolatePositions(grid, window.row0 + row, window.col0, cols, rows);
      for (let column = 0; column < window.width; column += 13) {
        const centre = [
          toLongitudeDeg(window.col0 + column + 0.5, zoom),
          toLatitudeDeg(window.row0 + row + 0.5, zoom),
        ] as const;
        const [atX, atY] = findCrs(epsg).project(...centre);
        const right = Math.abs((cols[column] as number) - (atX - group.x0) / group.stepX);
        const down = Math.abs((rows[column] as number) - (group.y0 - atY) / group.stepY);
        worst = Math.max(worst, right, down);
      }
    }
    expect(worst).toBeLessThan(0.01);
  });
});
