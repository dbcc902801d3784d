/** Values by name, the ones used last kept up to a size. */
export interface RecentValues<T> {
  /** The value of a name, made where it is not held: once, however many ask. What failed is not held. */
  get(name: string, make: () => Promise<T>): Promise<T>;
}

export function createRecentValues<T>(maxBytes: number, countBytes: (value: T) => number): RecentValues<T> {
  const held = new Map<string, { value: T; bytes: number }>();
  const underWay = new Map<string, Promise<T>>();
  let heldBytes = 0;

  function keep(name: string, value: T): void {
    const bytes = countBytes(value);
    if (bytes > maxBytes) return;
    held.set(name, { value, bytes });
    heldBytes += bytes;
    for (const [oldest, entry] of held) {
      if (heldBytes <= maxBytes) return;
      held.delete(oldest);
      heldBytes -= entry.bytes;
    }
  }

  async function makeAndKeep(name: string, make: () => Promise<T>): Promise<T> {
    try {
      const value = await make();
      keep(name, value);
      return value;
    } finally {
      underWay.delete(name);
    }
  }

  return {
    async get(name, make) {
      const entry = held.get(name);
      if (entry) {
        // The order of a Map is that of insertion: moved to its end, the entry is the one used last.
        held.delete(name);
        held.set(name, entry);
        return entry.value;
      }
      const value = underWay.get(name) ?? makeAndKeep(name, make);
      underWay.set(name, value);
      return value;
    },
  };
}
