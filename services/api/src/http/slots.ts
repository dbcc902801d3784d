/** Places for work in hand: so many in all, and so many of them for one caller. */
export interface Slots {
  /** Takes a place; the returned function gives it back, once. Undefined: there is none left for this caller. */
  take(caller: string): (() => void) | undefined;
}

export function createSlots(limit: { total: number; perCaller: number }): Slots {
  const takenBy = new Map<string, number>();
  let taken = 0;
  return {
    take(caller) {
      const own = takenBy.get(caller) ?? 0;
      if (taken >= limit.total || own >= limit.perCaller) return undefined;
      taken++;
      takenBy.set(caller, own + 1);
      let isHeld = true;
      return () => {
        if (!isHeld) return;
        isHeld = false;
        taken--;
        const left = (takenBy.get(caller) ?? 1) - 1;
        if (left > 0) takenBy.set(caller, left);
        else takenBy.delete(caller);
      };
    },
  };
}
