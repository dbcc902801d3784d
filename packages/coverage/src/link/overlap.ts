import type { CoverageRequest, RadioSpec, SectorSpec } from "@fellmark/network";
import { type Acir, ADJACENT_CHANNEL_DB, type Channel, computeChannelCoupling } from "@fellmark/radio";

/** Overlap of the transmitters of a request (sectors, then emitters) with the receivers of one sector's channel. */
export interface Overlap {
  /**
   * Share of a transmitter's power that counts in the channel while it is on, at a CPE and at the sector; likewise of
   * the power of another sector's subscribers. 0 for the sector itself, never else.
   */
  shareDown: Float64Array;
  shareUp: Float64Array;
  subscriberShareUp: Float64Array;
  /** Share of the sector's downlink time that the base or emitter is on. */
  baseOnDown: Float64Array;
  /** Shares of the sector's uplink time that a base or emitter, and that a subscriber of the sector, is on. */
  baseOnUp: Float64Array;
  subscriberOnUp: Float64Array;
}

/**
 * In one timing group bases send together and listen together. Outside it frames slide past each other: a base is on
 * for its share of the frame at any time, its subscribers for theirs.
 */
export function findChannelOverlap(request: CoverageRequest, victim: number): Overlap {
  const { sectors, emitters } = request;
  const own = sectors[victim];
  const cpeRadio = findRadio(request, request.cpe);
  const zeros = emitters.map(() => 0);
  const perSector = (amountOf: (other: SectorSpec, isSynchronised: boolean) => number) =>
    sectors.map((other, index) => (index === victim ? 0 : amountOf(other, other.timingGroup === own.timingGroup)));
  const down = (other: SectorSpec) => other.load * findRadio(request, other).downShare;
  const up = (other: SectorSpec) => other.load * (1 - findRadio(request, other).downShare);
  const active = emitters.map((emitter) => emitter.activity);
  const share = (channel: Channel, sender: RadioSpec | null, receiver: RadioSpec) =>
    computeChannelCoupling(channel, own.channel, findAcir(sender, receiver));
  const shares = (receiver: RadioSpec) =>
    Float64Array.from([
      ...perSector((other) => share(other.channel, findRadio(request, other), receiver)),
      ...emitters.map((emitter) => share(emitter.channel, null, receiver)),
    ]);
  const ownRadio = findRadio(request, own);
  const ofSubscribers = perSector((other) => share(other.channel, cpeRadio, ownRadio));
  return {
    shareDown: shares(cpeRadio),
    shareUp: shares(ownRadio),
    subscriberShareUp: Float64Array.from([...ofSubscribers, ...zeros]),
    baseOnDown: Float64Array.from([
      ...perSector((other, together) => (together ? other.load : down(other))),
      ...active,
    ]),
    baseOnUp: Float64Array.from([...perSector((other, together) => (together ? 0 : down(other))), ...active]),
    subscriberOnUp: Float64Array.from([
      ...perSector((other, together) => (together ? other.load : up(other))),
      ...zeros,
    ]),
  };
}

/** Leak of the sender and selectivity of the receiver; where neither radio states them, the standard's ratio holds. */
function findAcir(sender: RadioSpec | null, receiver: RadioSpec): Acir | undefined {
  if (!sender?.acirDb && !receiver.acirDb) return undefined;
  return {
    leakageDb: sender?.acirDb?.leakageDb ?? STANDARD_HALF_DB,
    selectivityDb: receiver.acirDb?.selectivityDb ?? STANDARD_HALF_DB,
  };
}

/** Contribution of each end to the standard's ratio when both are alike, dB. */
const STANDARD_HALF_DB = ADJACENT_CHANNEL_DB.adjacent + 10 * Math.log10(2);

function findRadio({ radios }: CoverageRequest, { radio }: { radio: string }): RadioSpec {
  return radios.find(({ id }) => id === radio) as RadioSpec;
}
