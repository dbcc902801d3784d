import type { NetworkShelf } from "@fellmark/ledger";
import { type Base, type CoverageRequest, composeBase, type NetworkDocument, parseNetwork } from "@fellmark/network";
import { InputError, NotFoundError } from "@fellmark/units";

/** The tenant's network that is current. Throws NotFoundError before the first was put. */
export async function currentNetwork(shelf: NetworkShelf, tenant: string): Promise<NetworkDocument> {
  const network = await shelf.findCurrentNetwork(tenant);
  if (!network) throw noNetwork();
  return parseNetwork(JSON.parse(network.document));
}

export function noNetwork(): NotFoundError {
  return new NotFoundError("there is no network yet");
}

/** The coverage that a base stands for: itself, or composed from a network. Throws InputError below /base. */
export async function composedBase(shelf: NetworkShelf, tenant: string, base: Base): Promise<CoverageRequest> {
  if (!("network" in base)) return base;
  const { network: version } = base;
  const network = await (version === "current" ? shelf.findCurrentNetwork(tenant) : shelf.network(tenant, version));
  if (!network) throw new InputError([{ pointer: "/base/network", detail: `there is no network "${version}"` }]);
  return composeBase(parseNetwork(JSON.parse(network.document)), base);
}
