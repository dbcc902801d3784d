import { readFile } from "node:fs/promises";
import {
  buildPictureTile,
  buildVectorTile,
  decodeRaster,
  LAYER_FILES,
  type LayerRaster,
  type PictureSize,
  type TilePlace,
} from "@fellmark/layers";
import type { LayerVersion, ObjectStore } from "@fellmark/ledger";
import { NotFoundError } from "@fellmark/units";
import { type LayerBytes, packBytes } from "./layer-bytes.ts";
import { createRecentValues } from "./recent-values.ts";

/** Classes that are held in memory: a layer of 2,000 by 2,000 cells has 5 MB. */
const MAX_RASTER_BYTES = 256 * 2 ** 20;

/** Tiles and files that are held ready to be sent. */
const MAX_READY_BYTES = 64 * 2 ** 20;

/** Memory of an entry beyond its bytes. */
const ENTRY_BYTES = 200;

/** Files and tiles of layers, those asked for of late held in memory. They never change: each is named by its content. */
export interface LayerTiles {
  /** A vector tile; null where it would be empty. */
  vector(version: LayerVersion, place: TilePlace): Promise<LayerBytes | null>;
  /** A PNG tile; null where it would be empty. */
  picture(version: LayerVersion, place: TilePlace, size: PictureSize): Promise<LayerBytes | null>;
  /** A whole file of text. */
  file(version: LayerVersion, name: string): Promise<LayerBytes>;
}

export function createLayerTiles(objects: Pick<ObjectStore, "findPath">): LayerTiles {
  const rasters = createRecentValues<LayerRaster>(MAX_RASTER_BYTES, countCells);
  const ready = createRecentValues<LayerBytes | null>(MAX_READY_BYTES, countBytes);
  const openRaster = (version: LayerVersion) => {
    const { path, sha256 } = findObject(objects, version, LAYER_FILES.classes);
    return rasters.get(sha256, async () => decodeRaster(await readFile(path)));
  };
  const nameTile = (version: LayerVersion, { z, x, y }: TilePlace, form: string) =>
    `${findObject(objects, version, LAYER_FILES.classes).path}/${z}/${x}/${y}.${form}`;
  return {
    vector: (version, place) =>
      ready.get(nameTile(version, place, "mvt"), async () => {
        const tile = buildVectorTile(await openRaster(version), place);
        return tile && packBytes(tile, true);
      }),
    picture: (version, place, size) =>
      ready.get(nameTile(version, place, `${size}.png`), async () => {
        const tile = await buildPictureTile(await openRaster(version), place, size);
        return tile && packBytes(tile, false);
      }),
    async file(version, name) {
      const { path } = findObject(objects, version, name);
      const bytes = await ready.get(path, async () => packBytes(await readFile(path), !name.endsWith(".png")));
      return bytes as LayerBytes;
    },
  };
}

/** Path and hash of a file of a version. */
export function findObject(
  objects: Pick<ObjectStore, "findPath">,
  { tenant, files }: LayerVersion,
  name: string,
): { path: string; sha256: string } {
  const file = files.find((candidate) => candidate.name === name);
  if (!file) throw new NotFoundError("the layer has no such file");
  return { path: objects.findPath(tenant, file.sha256), sha256: file.sha256 };
}

function countCells({ levels }: LayerRaster): number {
  return levels.reduce((sum, { classes }) => sum + classes.length, ENTRY_BYTES);
}

function countBytes(bytes: LayerBytes | null): number {
  return ENTRY_BYTES + (bytes?.plain.length ?? 0) + (bytes?.packed?.length ?? 0);
}
