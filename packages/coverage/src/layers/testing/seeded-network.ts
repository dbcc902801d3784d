import { findGeodesicPoint, type LatticeWindow } from "@fellmark/geodesy";
import { type CoverageRequest, findWindow, parseCoverageRequest } from "@fellmark/network";
import { CELL_CLASS, createLossRasters } from "@fellmark/sweep";
import { createSeededRandom } from "@fellmark/units";
import { encodeClutter } from "../../clutter/clutter-code.ts";
import { linkBudgets } from "../../link/link-budget.ts";
import { createPatterns } from "../../link/patterns.ts";
import { listMasts, type MastDisc } from "../../loss/mast.ts";
import type { DiscLoss } from "../../loss/mast-loss.ts";
import { buildQuietNoise } from "../../sector-noise/sector-noise.ts";

import type { LayerInput } from "../build-layer-job.ts";

/** Traits in which the networks of the tests differ. */
export interface NetworkTraits {
  seed: number;
  /** Chains of every sector: a single one makes the two ports of a CPE unlike. */
  chains: 1 | 2;
  /** True where sectors and emitters come and go. */
  comesAndGoes: boolean;
  emitters: number;
  sites: 1 | 2;
  /** Fields of the model, and whether rasters tell what stands on the ground. */
  model?: object;
  hasClutterRaster?: boolean;
}

const MIDDLE = { lon: -30, lat: 58 };
const RADIUS_M = 400;

/** One pattern for all networks, so that its tables are made once. */
const ANTENNAS = [{ id: "element", kind: "tr38901" as const }];
const PATTERNS = createPatterns({ antennas: ANTENNAS });

/** Two sectors on each site and emitters around them, on three channels that overlap in part. */
function drawRequest({ seed, chains, comesAndGoes, emitters, sites, model }: NetworkTraits): CoverageRequest {
  const random = createSeededRandom(seed);
  const pick = <T>(...values: T[]): T => values[Math.floor(random() * values.length)];
  const channel = () => ({ centreMhz: 5600 + pick(0, 0, 10, 20), widthMhz: 20 });
  const share = () => (comesAndGoes ? pick(0.2, 0.5, 0.8, 1) : 1);
  const places = [MIDDLE, findGeodesicPoint(MIDDLE, 75, 500)].slice(0, sites);
  return parseCoverageRequest({
    version: 1,
    area: { radiusM: RADIUS_M, zoom: 11 },
    quality: "preview",
    model: { clutter: { class: "open", heightM: 0 }, ...model },
    sites: places.map((place, index) => ({ id: `site${index}`, ...place })),
    antennas: ANTENNAS,
    radios: [
      { id: "base", table: "802.11ax", downShare: 0.7, noiseFigureDb: 5 },
      { id: "home", table: "802.11ax", noiseFigureDb: 7 },
    ],
    sectors: places.flatMap((_, site) =>
      [0, 1].map((half) => ({
        ...{ id: `s${site}${half}`, site: `site${site}`, antenna: "element", radio: "base", heightAglM: 25 + 5 * site },
        ...{
          azimuthDeg: Math.floor(360 * random()),
          downtiltDeg: 6 * random(),
          rollDeg: chains === 1 ? 5 : 20 * random() - 10,
        },
        ...{ powerDbm: 26 - 12 * random(), feederLossDb: 1, chains, channel: channel(), load: share(), noiseRiseDb: 2 },
        ...{ timingGroup: pick("a", "b"), polarisationBasis: pick("hv", "slant45") },
      })),
    ),
    cpe: {
      antenna: "element",
      radio: "home",
      heightAglM: 6,
      powerDbm: 22,
      feederLossDb: 1,
      noiseRiseDb: 1,
      pointingLossDb: 1.5,
    },
    plans: [
      { id: "fast", downMbps: 80, upMbps: 16 },
      { id: "basic", downMbps: 20, upMbps: 4 },
    ],
    emitters: Array.from({ length: emitters }, (_, index) => ({
      ...{ id: `e${index}`, ...findGeodesicPoint(MIDDLE, 360 * random(), 600 + 900 * random()), heightAglM: 12 },
      ...{ eirpDbm: 20 - 12 * random(), channel: channel(), activity: share() },
      ...(index === 1 && { antenna: "element", azimuthDeg: 200, downtiltDeg: 3 }),
    })),
  });
}

/** The layers' input for a network whose losses, rays, classes and clutter are drawn cell by cell. */
export function drawNetwork(traits: NetworkTraits): LayerInput {
  const request = drawRequest(traits);
  const random = createSeededRandom(traits.seed + 1000);
  const links = linkBudgets(request, PATTERNS);
  const { masts, mastOfSource } = listMasts(request);
  const window = findWindow(request);
  return {
    ...{ request, patterns: PATTERNS, links, masts, mastOfSource, window },
    losses: masts.map(({ near, far }) => ({ near: near && drawLoss(near, random), far: far && drawLoss(far, random) })),
    noise: buildQuietNoise(links).map((noise, index) => ({ ...noise, meanDbm: noise.meanDbm + index })),
    clutter: traits.hasClutterRaster ? drawClutter(window, random) : null,
  };
}

function drawLoss({ window }: MastDisc, random: () => number): DiscLoss {
  const rasters = createLossRasters(window);
  const { clear, grazing, blocked, notKnown, outside } = CELL_CLASS;
  const classes = [clear, clear, clear, clear, grazing, grazing, blocked, blocked, blocked, notKnown];
  for (let cell = 0; cell < rasters.cellClass.length; cell++) {
    const sight = random() < 0.03 ? outside : classes[Math.floor(classes.length * random())];
    rasters.cellClass[cell] = sight;
    rasters.excessDb[cell] = sight >= notKnown ? Number.NaN : 4 * sight + 8 * random();
    rasters.raysCdeg[2 * cell] = Math.round(-600 * random());
    rasters.raysCdeg[2 * cell + 1] = Math.round(600 * random());
  }
  return { rasters, terrain: { kind: "bare", files: [], filledCells: 0, flags: [], mastAmslM: 150 } };
}

function drawClutter({ width, height }: LatticeWindow, random: () => number): Uint16Array {
  return Uint16Array.from({ length: width * height }, () =>
    encodeClutter(Math.floor(5 * random()), Math.floor(15 * random()), random() < 0.3),
  );
}
