import { buildRateThresholds, computeChannelCoupling } from "@fellmark/radio";
import { toMilliwatts, toRatio } from "@fellmark/units";
import { type AdviceProblem, type AdviceSector, isDfsChannel } from "../advice-problem.ts";
import { findLowestTenth } from "../p10.ts";

interface Shape {
  sectors: number;
  centresMhz: number[];
  points: number;
  random: () => number;
  /** External emitters, each on a channel drawn from the centres. */
  emitters?: number;
}

/** A network of levels drawn at random: places 15 to 45 dB over the noise, other sectors -10 to 40 dB below that. */
export function drawSmallProblem({ sectors, centresMhz, points, random, emitters = 0 }: Shape): AdviceProblem {
  const channels = centresMhz.map((centreMhz) => {
    const channel = { centreMhz, widthMhz: 20 };
    return { ...channel, isDfs: isDfsChannel(channel), isOffered: true };
  });
  const emitterChannels = Array.from({ length: emitters }, () => channels[Math.floor(random() * channels.length)]);
  const share = (from: { centreMhz: number; widthMhz: number }) =>
    channels.map((to) => computeChannelCoupling(from, to));
  return {
    channels,
    sectors: Array.from({ length: sectors }, (_, index) => smallSector(index, sectors, emitterChannels.length)),
    emitters,
  };

  function smallSector(index: number, all: number, others: number): AdviceSector {
    const sources = all + others;
    const wantedDbm = Array.from({ length: points }, () => -80 + 30 * random());
    const levelMw = wantedDbm.flatMap((wanted) =>
      Array.from({ length: sources }, (__, source) =>
        toMilliwatts(source === index ? wanted : wanted + 10 - 50 * random()),
      ),
    );
    return {
      id: `s${index}`,
      site: `m${Math.floor(index / 2)}`,
      azimuthDeg: (index % 2) * 180,
      today: 0,
      mayChange: true,
      uses: channels.map(() => createPlainUse()),
      points: {
        count: points,
        levelMw: Float64Array.from(levelMw),
        upMw: Float64Array.from(wantedDbm, (wanted) => toMilliwatts(wanted - 4)),
        margin: new Float64Array(points).fill(toRatio(-5)),
        worstUpMw: findLowestTenth(Float64Array.from(wantedDbm, (wanted) => toMilliwatts(wanted - 9))),
        plan: new Uint8Array(points),
      },
      coupling: Float64Array.from(channels.flatMap(share)),
      emitterCoupling: Float64Array.from(emitterChannels.flatMap(share)),
      baseOnDown: Float64Array.from({ length: sources }, (__, source) => (source === index ? 0 : 1)),
      baseOnUp: new Float64Array(all),
      subscriberOnUp: Float64Array.from({ length: all }, (__, source) => (source === index ? 0 : 1)),
      baseMw: new Float64Array(all).fill(toMilliwatts(-40)),
      emitterMw: Float64Array.from({ length: others }, () => toMilliwatts(-85 - 30 * random())),
      subscriberMw: Float64Array.from({ length: all }, () => toMilliwatts(-75 - 40 * random())),
    };
  }
}

/** A 20 MHz channel at today's power, with a receiver noise figure of 6 dB. */
function createPlainUse(): AdviceSector["uses"][number] {
  const of = (share: number) => {
    const radio = { table: "802.11ax", widthMhz: 20, streams: 2, implementationDb: 2, macEfficiency: 0.75 } as const;
    const { sinrDb, netMbps } = buildRateThresholds({ ...radio, share });
    return { sinr: sinrDb.map(toRatio), netMbps };
  };
  const noiseMw = toMilliwatts(-95);
  return {
    refusal: null,
    downScale: 1,
    upScale: 1,
    noiseDownMw: noiseMw,
    noiseUpMw: noiseMw,
    down: of(0.75),
    up: of(0.25),
  };
}
