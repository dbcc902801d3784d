import { readFileSync } from "node:fs";
import { buildPmtiles, decodeRaster } from "@fellmark/layers";

/** Packs the layer of a file and tells its parent how long that took and how much memory the whole process had. */
const raster = await decodeRaster(readFileSync(process.argv[2]));
const startMs = performance.now();
const archive = buildPmtiles(raster, {});
const seconds = (performance.now() - startMs) / 1000;
const kilobytes = /^VmHWM:\s+(\d+) kB$/m.exec(readFileSync("/proc/self/status", "latin1"))?.[1];
process.send?.({ seconds, bytes: archive.length, peakBytes: Number(kilobytes) * 1024 });
process.disconnect();
