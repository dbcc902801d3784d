import type { CoverageRequest } from "@fellmark/network";
import { computeFreeSpaceLossDb } from "@fellmark/propagation";
import { type Channel, computeChannelCoupling } from "@fellmark/radio";
import type { TerrainCatalogue } from "@fellmark/terrain";
import { InputError, toMilliwatts, toRatio } from "@fellmark/units";
import { readEnds } from "../clutter/clutter-raster.ts";
import { type CoverageWatch, prepareScene } from "../coverage.ts";
import { buildLayerJob } from "../layers/build-layer-job.ts";
import type { EndsOf } from "../link/end-clutter.ts";
import { type LinkBudget, linkBudgets } from "../link/link-budget.ts";
import { findChannelOverlap } from "../link/overlap.ts";
import type { Engine } from "../loss/engine.ts";
import type { MastScene } from "../sector-noise/between-masts.ts";
import { combineNoise, computeSourceAtSectorMw, type TerrainScene } from "../sector-noise/sector-noise.ts";
import {
  type AdviceChannel,
  type AdviceProblem,
  type AdviceSector,
  type ChannelUse,
  isDfsChannel,
  type ServedPoints,
} from "./advice-problem.ts";
import { rateSteps } from "./graded-rate.ts";
import { findLowestTenth } from "./p10.ts";
import { findServedPlaces, type ServedPlace } from "./served-places.ts";

/**
 * The freedom of the advice: channels that are offered, and the ids of the sectors that may leave theirs; absent: all.
 */
export interface AdviceChoice {
  channels: readonly Channel[];
  sectors?: readonly string[];
}

/**
 * The choice of channels for the sectors of a request, from the losses of all masts. A channel changes power, free
 * space, noise and rates; gains, diffraction and who serves whom stay as they are today. All places have the CPE of the
 * request. Throws as `prepareScene`.
 */
export async function buildAdviceProblem(
  engine: Engine,
  catalogue: TerrainCatalogue,
  request: CoverageRequest,
  choice: AdviceChoice,
  watch: CoverageWatch = {},
): Promise<AdviceProblem> {
  const endsOf = await readEnds(catalogue, request);
  const scene = { ...(await prepareScene(engine, catalogue, request, watch)), catalogue, endsOf };
  const job = buildLayerJob(scene);
  const places = findServedPlaces(job, request, scene.links);
  const channels = listAllChannels(request, choice.channels);
  const sectors: AdviceSector[] = [];
  for (const [index, { id, site, azimuthDeg, channel }] of request.sectors.entries()) {
    sectors.push({
      id,
      site,
      azimuthDeg,
      today: channels.findIndex((known) => isSame(known, channel)),
      mayChange: choice.sectors?.includes(id) ?? true,
      uses: listUses(scene, channels, index),
      points: findPoints(places.filter(({ sector }) => sector === index)),
      ...listCouplings(request, channels, index),
      ...(await computeHeard(scene, places, index)),
    });
  }
  return { channels, sectors, emitters: request.emitters.length };
}

function listCouplings(
  { sectors, radios, emitters }: CoverageRequest,
  channels: readonly AdviceChannel[],
  index: number,
): Pick<AdviceSector, "coupling" | "emitterCoupling"> {
  const acir = radios.find(({ id }) => id === sectors[index].radio)?.acirDb;
  const shares = (from: Channel) => channels.map((to) => computeChannelCoupling(from, to, acir));
  return {
    coupling: Float64Array.from(channels.flatMap(shares)),
    emitterCoupling: Float64Array.from(emitters.flatMap(({ channel }) => shares(channel))),
  };
}

/** The channels that are offered, then those in use today that are not. */
function listAllChannels({ sectors }: CoverageRequest, offered: readonly Channel[]): AdviceChannel[] {
  const channels: AdviceChannel[] = [];
  const add = ({ centreMhz, widthMhz }: Channel, isOffered: boolean) => {
    const channel = { centreMhz, widthMhz };
    if (channels.some((known) => isSame(known, channel))) return;
    channels.push({ ...channel, isDfs: isDfsChannel(channel), isOffered });
  };
  for (const channel of offered) add(channel, true);
  for (const { channel } of sectors) add(channel, false);
  return channels;
}

function isSame(a: Channel, b: Channel): boolean {
  return a.centreMhz === b.centreMhz && a.widthMhz === b.widthMhz;
}

/** Returns a sector's use of each channel without any other transmitter: beside its own noise only scans count. */
function listUses(scene: ChannelScene, channels: readonly AdviceChannel[], index: number): ChannelUse[] {
  const { request } = scene;
  const own = request.sectors[index];
  const uses: ChannelUse[] = [];
  for (const { centreMhz, widthMhz } of channels) {
    const channel = { centreMhz, widthMhz: widthMhz as typeof own.channel.widthMhz };
    const alone = { ...request, sectors: [{ ...own, channel }], emitters: [] };
    uses.push(buildUse({ ...scene, request: alone }, scene.links[index]));
  }
  return uses;
}

/** Inputs by which a channel is judged. */
interface ChannelScene extends MastScene {
  endsOf: EndsOf;
}

function buildUse(scene: ChannelScene, today: LinkBudget): ChannelUse {
  const link = computeBudgetOrRefusal(scene);
  if (typeof link === "string") return refuseChannel(link);
  const { causes } = combineNoise({ ...scene, links: [link] }, 0, { pathFrom: () => null, subscribers: [] });
  const nearDb = computeFreeSpaceLossDb(1000, link.frequencyGhz) - computeFreeSpaceLossDb(1000, today.frequencyGhz);
  return {
    refusal: null,
    downScale: toRatio(link.down.baseDbm - today.down.baseDbm - nearDb),
    upScale: toRatio(link.up.baseDbm - today.up.baseDbm - nearDb),
    noiseDownMw: toMilliwatts(link.down.noiseDbm),
    noiseUpMw: causes.thermalMw + causes.scansMw,
    down: rateSteps(link.rates.down),
    up: rateSteps(link.rates.up),
  };
}

/** The budget of the only sector of a request, or why its channel is refused by a power rule. */
function computeBudgetOrRefusal({ request, patterns, endsOf }: ChannelScene): LinkBudget | string {
  try {
    return linkBudgets(request, patterns, endsOf)[0];
  } catch (error) {
    if (error instanceof InputError) return error.problems.map(({ detail }) => detail).join("; ");
    throw error;
  }
}

function refuseChannel(refusal: string): ChannelUse {
  const none = { sinr: new Float64Array(0), netMbps: new Float64Array(0) };
  const never = { downScale: 0, upScale: 0, noiseDownMw: Infinity, noiseUpMw: Infinity };
  return { refusal, ...never, down: none, up: none };
}

type Heard = Pick<AdviceSector, "baseOnDown" | "baseOnUp" | "subscriberOnUp" | "baseMw" | "subscriberMw" | "emitterMw">;

/** Returns the levels of all others at a sector while they share its channel. */
async function computeHeard(scene: TerrainScene, places: readonly ServedPlace[], index: number): Promise<Heard> {
  const { request } = scene;
  const { baseOnDown, baseOnUp, subscriberOnUp } = findChannelOverlap(request, index);
  const count = request.sectors.length;
  const baseMw = new Float64Array(count);
  for (let source = 0; source < count; source++) {
    if (source !== index && baseOnUp[source] > 0) baseMw[source] = await computeSourceAtSectorMw(scene, source, index);
  }
  const emitterMw = new Float64Array(request.emitters.length);
  for (const [emitter, spec] of request.emitters.entries()) {
    if (spec.activity > 0)
      emitterMw[emitter] = spec.activity * (await computeSourceAtSectorMw(scene, count + emitter, index));
  }
  return {
    baseOnDown,
    baseOnUp: baseOnUp.slice(0, count),
    subscriberOnUp: subscriberOnUp.slice(0, count),
    baseMw,
    subscriberMw: Float64Array.from(baseMw, (_, source) => meanHeardMw(request, places, source, index)),
    emitterMw,
  };
}

/** Mean level at a sector while one of the subscribers of another sends, by the uplink speed of their plans. */
function meanHeardMw(
  { plans }: CoverageRequest,
  places: readonly ServedPlace[],
  source: number,
  victim: number,
): number {
  let weights = 0;
  let sumMw = 0;
  for (const { sector, plan, heardMw } of places) {
    if (sector !== source) continue;
    const weight = plan === 0 ? 1 : plans[plan - 1].upMbps;
    weights += weight;
    sumMw += weight * heardMw[victim];
  }
  return weights === 0 ? 0 : sumMw / weights;
}

function findPoints(places: readonly ServedPlace[]): ServedPoints {
  const marginedUpMw = Float64Array.from(places, ({ upMw, margin }) => upMw * margin);
  return {
    count: places.length,
    levelMw: Float64Array.from(places.flatMap(({ levelMw }) => [...levelMw])),
    upMw: Float64Array.from(places, ({ upMw }) => upMw),
    margin: Float64Array.from(places, ({ margin }) => margin),
    worstUpMw: findLowestTenth(marginedUpMw),
    plan: Uint8Array.from(places, ({ plan }) => plan),
  };
}
