import { isMainThread } from "node:worker_threads";
import { TAG } from "./tiff-tags.ts";

type Library = typeof import("geotiff");

let loading: Promise<Library> | undefined;

/** Loads the library that reads the structure of GeoTIFF files. The first call takes about 0.1 s. */
export function loadLibrary(): Promise<Library> {
  loading ??= importLibrary().then(registerBlockLists);
  return loading;
}

/**
 * In a thread other than the main one, the library's worker shim fails unless there is a global Worker: it expects a
 * thread that it started itself. A stand-in exists while the library loads; its workers are never used.
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

/** Makes the library load lists of blocks with their directory: lists that it loads later it reads as little-endian. */
function registerBlockLists(library: Library): Library {
  for (const tag of [TAG.stripOffsets, TAG.stripByteCounts, TAG.tileOffsets, TAG.tileByteCounts]) {
    const { name } = library.globals.tagDefinitions[tag] as { name: string };
    library.registerTag(tag, name, undefined, true, true);
  }
  return library;
}
