import type { KnownHash } from "@fellmark/terrain";

/** Hashes of terrain files that children of this process have made, in order; a later one of a path counts. */
const made: KnownHash[] = [];

export function noteHashes(hashes: readonly KnownHash[]): void {
  made.push(...hashes);
}

/** Returns the hashes behind the first `from`. */
export function listHashes(from: number): KnownHash[] {
  return made.slice(from);
}
