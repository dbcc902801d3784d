import type { AnsweringSource } from "@fellmark/compute";
import type { NetworkShelf } from "@fellmark/ledger";
import { InputError } from "@fellmark/units";
import { createNoNetworkError } from "./find-named-network.ts";

/** The network that is asked, and the equipment at the place. */
export interface Asked {
  /** "current" or a version. */
  network: string;
  radiusM: number;
  cpe?: string | undefined;
}

/**
 * The network that a body names, by the version of its content; its document is read only if the child lacks it.
 * Throws NotFoundError before the first network was put, InputError at /network below `at` for a version
 * that was not.
 */
export async function findAnsweringSource(
  shelf: NetworkShelf,
  tenant: string,
  { network: wanted, radiusM, cpe }: Asked,
  at = "",
): Promise<AnsweringSource> {
  const versions = await shelf.listNetworks(tenant);
  if (versions.length === 0) throw createNoNetworkError();
  const known = wanted === "current" ? versions[0] : versions.find(({ version }) => version === wanted);
  if (!known) throw new InputError([{ pointer: `${at}/network`, detail: `there is no network "${wanted}"` }]);
  const { version } = known;
  const document = async () => {
    const record = await shelf.findNetwork(tenant, version);
    if (!record) throw createNoNetworkError();
    return record.document;
  };
  return { network: { version, document }, radiusM, ...(cpe !== undefined && { cpe }) };
}
