import type { NamedNetwork } from "@fellmark/compute";
import type { NetworkShelf } from "@fellmark/ledger";
import { InputError, NotFoundError } from "@fellmark/units";

export function createNoNetworkError(): NotFoundError {
  return new NotFoundError("there is no network yet");
}

/**
 * The canonical JSON of the network that a body names. Throws InputError at the field that names one that was not put,
 * NotFoundError where no field does.
 */
export async function findNamedNetwork(
  shelf: NetworkShelf,
  tenant: string,
  { network: wanted, pointer }: NamedNetwork,
): Promise<string> {
  const found = await (wanted === "current" ? shelf.findCurrentNetwork(tenant) : shelf.findNetwork(tenant, wanted));
  if (found) return found.document;
  if (pointer === null) throw createNoNetworkError();
  throw new InputError([{ pointer, detail: `there is no network "${wanted}"` }]);
}
