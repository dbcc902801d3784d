import { crc32, inflateRawSync } from "node:zlib";
import { TerrainError } from "@fellmark/units";
import yauzl from "yauzl";
import { refuseRaster } from "../raster/refuse-raster.ts";
import { HGT_BYTES, parseTileName } from "./hgt-header.ts";

/** Largest zip file of a tile: the size of the tile itself and some margin. */
export const MAX_ZIP_BYTES = Math.max(...HGT_BYTES) + 65_536;

/**
 * Returns the size of the tile in a zip file, bytes. The archive must hold a single entry with the name of the archive.
 * @param archive the whole zip file. Throws TerrainError `raster_refused`.
 */
export async function readZippedSize(archive: Buffer, fileName: string): Promise<number> {
  return (await readOnlyEntry(archive, fileName)).entry.uncompressedSize;
}

/** Returns the tile in a zip file, checked against its CRC. Throws TerrainError `raster_refused` or `raster_corrupt`. */
export async function unzipTile(archive: Buffer, fileName: string): Promise<Buffer> {
  const { zip, entry } = await readOnlyEntry(archive, fileName);
  try {
    const { fileDataStart } = await zip.readLocalFileHeaderPromise(entry, { minimal: true });
    const packed = archive.subarray(fileDataStart, fileDataStart + entry.compressedSize);
    const tile = entry.compressionMethod === 0 ? packed : inflateRawSync(packed, { maxOutputLength: HGT_BYTES[1] });
    if (tile.length !== entry.uncompressedSize || crc32(tile) !== entry.crc32) throw new Error("the check sum differs");
    return tile;
  } catch (error) {
    throw new TerrainError("raster_corrupt", `the zip file is damaged (${String(error)})`, {
      cause: error,
    });
  }
}

async function readOnlyEntry(archive: Buffer, fileName: string): Promise<{ zip: yauzl.ZipFile; entry: yauzl.Entry }> {
  let zip: yauzl.ZipFile;
  let entry: yauzl.Entry | undefined;
  try {
    zip = await yauzl.fromBufferPromise(archive, { lazyEntries: true });
    if (zip.entryCount !== 1) throw new Error(`it holds ${zip.entryCount} entries, not one`);
    for await (const found of zip.eachEntry()) entry = found;
  } catch (error) {
    throw refuseRaster(`the zip file cannot be used: ${String(error)}`, error);
  }
  const wanted = `${parseTileName(fileName)}.hgt`;
  if (entry?.fileName.toUpperCase() !== wanted.toUpperCase()) {
    throw refuseRaster(`the zip file must hold ${wanted}, not ${JSON.stringify(entry?.fileName)}`);
  }
  if (entry.isEncrypted() || ![0, 8].includes(entry.compressionMethod)) {
    throw refuseRaster(`compression method ${entry.compressionMethod} of the zip file is not supported`);
  }
  if (!HGT_BYTES.includes(entry.uncompressedSize))
    throw refuseRaster(`${entry.uncompressedSize} bytes is not the size of a tile`);
  return { zip, entry };
}
