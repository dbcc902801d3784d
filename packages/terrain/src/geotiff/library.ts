import { isMainThread } from "node:worker_threads";
import { TAG } from "./tiff-tags.ts";

type Library = typeof import("geotiff");

let loading: Promise<Library> | undefined;

/** The library that reads the structure of GeoTIFF files, loaded on first use: it takes some 0.1 s. */
export function loadLibrary(): Promise<Library> {
  loading ??= importLibrary().then(registerBlockLists);
  return loading;
}

/**
 * Outside the main thread the library's worker shim takes the thread for one of its own and fails, unless there is a
 * global Worker. A stand-in is there while it loads; its workers are never used.
 */
async function importLibrary(): Promise<Library> {
  if (isMainThread || "Worker" in globalThis) return import("geotiff");
  Object.defineProperty(globalThis, "Worker", { value: class {}, configurable: true });
  try {
    return await import("geotiff");
  } finally {
    Reflect.deleteProperty(globalThis, "Worker");
  }
}

/** Lists of blocks are loaded with their directory: what the library loads later it reads as little-endian in any file. */
function registerBlockLists(library: Library): Library {
  for (const tag of [TAG.stripOffsets, TAG.stripByteCounts, TAG.tileOffsets, TAG.tileByteCounts]) {
    const { name } = library.globals.tagDefinitions[tag] as { name: string };
    library.registerTag(tag, name, undefined, true, true);
  }
  return library;
}
