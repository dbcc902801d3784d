import type { AntennaPattern } from "@fellmark/antenna";
import { type LatticeWindow, rowFrame, rowOfLatitude, worldCells } from "@fellmark/geodesy";
import { type CoverageRequest, windowOf } from "@fellmark/network";
import { freeSpaceLossDb, multipathFadeMarginDb } from "@fellmark/propagation";
import { channelCoupling } from "@fellmark/radio";
import { milliwattsFromDbm, ratioFromDb } from "@fellmark/units";
import { bestPlan } from "../link/best-plan.ts";
import { AVERAGE_TERRAIN } from "../link/fade.ts";
import { confidenceFactor, errorSigmaDb, type LinkBudget } from "../link/link-budget.ts";
import type { Mast } from "../mast.ts";
import { CELL_CLASS, type LossRasters } from "../sweep/sweep-frame.ts";
import { bakeGainTable } from "./gain-table.ts";
import type { LayerJob, MastLayer, SectorLayer } from "./layer-job.ts";

export interface LayerInput {
  request: CoverageRequest;
  patterns: Map<string, AntennaPattern>;
  masts: Mast[];
  mastOfSector: number[];
  losses: LossRasters[];
  links: LinkBudget[];
}

/** Everything the layers need of a request, once its losses are known. */
export function buildLayerJob(input: LayerInput): LayerJob {
  const { request, masts, losses, links } = input;
  const window = windowOf(request);
  const kitPattern = input.patterns.get(request.kit.antenna) as AntennaPattern;
  const clutterKnown = "class" in request.model.clutter && request.model.clutter.class !== "unknown";
  const sigmas = [CELL_CLASS.clear, CELL_CLASS.grazing, CELL_CLASS.blocked].map((sight) =>
    errorSigmaDb(sight, clutterKnown),
  );
  const factor = confidenceFactor(request.model.confidence);
  return {
    window,
    radiusKm: request.area.radiusM / 1000,
    masts: masts.map((mast, index) => mastLayer(mast, losses[index] as LossRasters, window)),
    sectors: links.map((_, index) => sectorLayer(input, index)),
    kitTable: request.sites.length > 1 ? bakeGainTable(kitPattern, { azimuthDeg: 0, downtiltDeg: 0 }, 0) : null,
    kitPeakGainDbi: kitPattern.peakGainDbi,
    pointingLinear: ratioFromDb(request.kit.pointingLossDb),
    confidenceLinear: Float64Array.from(sigmas, (sigmaDb) => ratioFromDb(-factor * sigmaDb)),
    wantRasters: request.outputs.includes("rasters"),
  };
}

function mastLayer(mast: Mast, rasters: LossRasters, window: LatticeWindow): MastLayer {
  const world = worldCells(window.zoom);
  const apart = window.col0 - mast.window.col0;
  const middle = (mast.window.width - window.width) / 2;
  return {
    rasters,
    window: mast.window,
    rows: rowFrame(mast.site, rowOfLatitude(mast.site.lat, window.zoom), mast.window),
    columnOffset: apart - Math.round((apart - middle) / world) * world,
    rowOffset: window.row0 - mast.window.row0,
  };
}

function sectorLayer(input: LayerInput, index: number): SectorLayer {
  const { request, links } = input;
  const link = links[index] as LinkBudget;
  const { sector, down, up, frequencyGhz } = link;
  const pattern = input.patterns.get(sector.antenna) as AntennaPattern;
  const freeSpaceDb = freeSpaceLossDb(1000, frequencyGhz);
  return {
    mast: input.mastOfSector[index],
    site: request.sites.findIndex(({ id }) => id === sector.site),
    table: bakeGainTable(pattern, sector, 0),
    downBaseDbm: down.baseDbm - freeSpaceDb,
    freeSpaceDb,
    upMinusDownDb: up.baseDbm - down.baseDbm,
    upPerDown: ratioFromDb(up.baseDbm - down.baseDbm),
    noiseDownMw: milliwattsFromDbm(down.noiseDbm),
    noiseUpMw: milliwattsFromDbm(up.noiseDbm),
    noiseUpDbm: up.noiseDbm,
    gasDbPerKm: link.gasDbPerKm,
    fadeFactor: fadeFactor(request.model.availability, frequencyGhz),
    coupling: couplings(links, index),
    rateSinr: link.rates.sinrDb.map(ratioFromDb),
    downMbps: link.rates.downMbps,
    upMbps: link.rates.upMbps,
    ...tierTables(request, link),
  };
}

/** The fade margin grows with the cube of the distance; this is 10^(-margin / 10) at 1 km, left unclamped. */
function fadeFactor(availability: number, frequencyGhz: number): number {
  const farM = 1_000_000;
  const marginDb = multipathFadeMarginDb({
    availability,
    distanceM: farM,
    frequencyGhz,
    terrainFactor: AVERAGE_TERRAIN,
  });
  return ratioFromDb(-marginDb) * (farM / 1000) ** 3;
}

/** What each other sector counts in this one's channel: overlap or leakage, times its activity. */
function couplings(links: LinkBudget[], victim: number): Float64Array {
  const { channel } = (links[victim] as LinkBudget).sector;
  return Float64Array.from(links, ({ sector }, index) =>
    index === victim ? 0 : channelCoupling(sector.channel, channel) * sector.load,
  );
}

function tierTables(request: CoverageRequest, link: LinkBudget): Pick<SectorLayer, "tierOf" | "tierOfDown"> {
  const rates = link.rates.sinrDb.length + 1;
  const speed = (speeds: Float64Array, index: number) => (index === 0 ? 0 : speeds[index - 1]);
  const table = (planOf: (down: number, up: number) => number) =>
    Uint8Array.from({ length: rates * rates }, (_, pair) =>
      planOf(speed(link.rates.downMbps, Math.floor(pair / rates)), speed(link.rates.upMbps, pair % rates)),
    );
  return {
    tierOf: table((down, up) => bestPlan(request.plans, down, up)),
    tierOfDown: table((down) => bestPlan(request.plans, down, Number.POSITIVE_INFINITY)),
  };
}
