import type { CapacityPlace } from "@fellmark/coverage";
import type { AnsweringNetwork } from "./answering-network.ts";

/** Rates of the subscribers of each sector, asked once a sector and kept. */
export interface SubscriberRates {
  /** Null where the network states no subscribers at all: then nobody knows how full a sector is. */
  ofSector(sector: string): Promise<CapacityPlace[] | null>;
}

export function createSubscriberRates(network: AnsweringNetwork): SubscriberRates {
  const known = new Map<string, Promise<CapacityPlace[]>>();
  return {
    async ofSector(sector) {
      if (network.request.subscribers.length === 0) return null;
      const rates = known.get(sector) ?? findRates(network, sector);
      known.set(sector, rates);
      // What failed is asked again the next time.
      rates.catch(() => known.delete(sector));
      return rates;
    },
  };
}

async function findRates({ request, cpes, ask }: AnsweringNetwork, sector: string): Promise<CapacityPlace[]> {
  const places: CapacityPlace[] = [];
  for (const { lon, lat, plan, cpe: cpeId, heightAglM, sector: own } of request.subscribers) {
    if (own !== sector) continue;
    const cpe = cpeId === undefined ? undefined : cpes.get(cpeId);
    const change = { sectors: [sector], ...(cpe && { cpe }), ...(heightAglM !== undefined && { heightAglM }) };
    const { links } = await ask({ lon, lat }, change);
    const { downMbps = 0, upMbps = 0 } = links[0] ?? {};
    places.push({ plan: 1 + request.plans.findIndex(({ id }) => id === plan), downMbps, upMbps });
  }
  return places;
}
