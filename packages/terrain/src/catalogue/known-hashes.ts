import { type FileIdentity, isSameIdentity } from "../raster/byte-source.ts";

/** The hash of a file and the identity that it had when all of it was read. */
export interface KnownHash {
  path: string;
  identity: FileIdentity;
  sha256: string;
}

const known = new Map<string, KnownHash>();
let added: KnownHash[] = [];

/** Remembers what another process has hashed. */
export function learnHashes(hashes: readonly KnownHash[]): void {
  for (const hash of hashes) known.set(hash.path, hash);
}

/** Returns the hashes that this process has made since the last call, for others to learn. */
export function takeNewHashes(): KnownHash[] {
  const hashes = added;
  added = [];
  return hashes;
}

/** Returns the hash of a file with this identity; undefined where it was not hashed since its content last changed. */
export function findKnownHash(path: string, identity: FileIdentity): string | undefined {
  const hash = known.get(path);
  return hash && isSameIdentity(hash.identity, identity) ? hash.sha256 : undefined;
}

export function addHash(hash: KnownHash): void {
  known.set(hash.path, hash);
  added.push(hash);
}
