/** Decoded blocks kept in this process; the least recently used is dropped first. */
export interface BlockCache {
  get(key: string): Float32Array | undefined;
  set(key: string, block: Float32Array): void;
}

/** Returns a cache of at most `maxBytes` of values; a single larger block is kept until the next block is added. */
export function createBlockCache(maxBytes: number): BlockCache {
  const blocks = new Map<string, Float32Array>();
  let heldBytes = 0;
  return {
    get(key) {
      const block = blocks.get(key);
      if (block) {
        blocks.delete(key);
        blocks.set(key, block);
      }
      return block;
    },
    set(key, block) {
      blocks.set(key, block);
      heldBytes += block.byteLength;
      for (const [oldKey, old] of blocks) {
        if (heldBytes <= maxBytes || oldKey === key) break;
        blocks.delete(oldKey);
        heldBytes -= old.byteLength;
      }
    },
  };
}
