import type { CoverageRequest, RadioSpec, SectorSpec } from "@fellmark/network";
import { type Channel, channelCoupling } from "@fellmark/radio";

/** What the transmitters of a request (sectors, then emitters) are to the receivers of one sector's channel. */
export interface Overlap {
  /** Share of a transmitter's power that counts in the channel while it is on: 0 for the sector itself, never else. */
  share: Float64Array;
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
export function overlapOf(request: CoverageRequest, victim: number): Overlap {
  const { sectors, emitters } = request;
  const own = sectors[victim];
  const acir = radioOf(request, own).acirDb;
  const zeros = emitters.map(() => 0);
  const perSector = (amountOf: (other: SectorSpec, isSynchronised: boolean) => number) =>
    sectors.map((other, index) => (index === victim ? 0 : amountOf(other, other.timingGroup === own.timingGroup)));
  const down = (other: SectorSpec) => other.load * radioOf(request, other).downShare;
  const up = (other: SectorSpec) => other.load * (1 - radioOf(request, other).downShare);
  const active = emitters.map((emitter) => emitter.activity);
  const coupling = (other: { channel: Channel }) => channelCoupling(other.channel, own.channel, acir);
  return {
    share: Float64Array.from([...perSector(coupling), ...emitters.map(coupling)]),
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

function radioOf({ radios }: CoverageRequest, { radio }: SectorSpec): RadioSpec {
  return radios.find(({ id }) => id === radio) as RadioSpec;
}
