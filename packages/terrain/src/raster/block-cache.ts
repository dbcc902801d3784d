/** Decoded blocks kept in this process; the least recently used is dropped first. */
export interface BlockCache {
  get(key: string): Float32Array | undefined;
  /** Keeps a block. Whoever holds one that is dropped by this must be done with it: its memory is used again. */
  set(key: string, block: Float32Array): void;
  /** Returns memory for a block, with any values: that of a block that was dropped, where one has that length. */
  allocate(length: number): Float32Array<ArrayBuffer>;
}

/** Returns a cache of at most `maxBytes` of values; a single larger block is kept until the next block is added. */
export function createBlockCache(maxBytes: number): BlockCache {
  const blocks = new Map<string, Float32Array>();
  let heldBytes = 0;
  // Blocks are decoded faster than the memory of those that were dropped is found and freed.
  let spare: Float32Array<ArrayBuffer> | undefined;
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
      heldBytes += block.byteLength - (blocks.get(key)?.byteLength ?? 0);
      blocks.delete(key);
      blocks.set(key, block);
      for (const [oldKey, old] of blocks) {
        if (heldBytes <= maxBytes || oldKey === key) break;
        blocks.delete(oldKey);
        heldBytes -= old.byteLength;
        spare = old as Float32Array<ArrayBuffer>;
      }
    },
    allocate(length) {
      const block = spare?.length === length ? spare : new Float32Array(length);
      if (block === spare) spare = undefined;
      return block;
    },
  };
}
