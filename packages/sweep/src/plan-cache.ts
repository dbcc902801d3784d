import type { SweepArea } from "./sweep-frame.ts";
import type { SweepPlan } from "./sweep-plan.ts";

/** Plans by mast, lattice, radius and density; the least recently used go when the bytes run over. */
export interface PlanCache {
  get(area: SweepArea, build: () => Promise<SweepPlan>): Promise<SweepPlan>;
}

export function createPlanCache(maxBytes: number): PlanCache {
  const plans = new Map<string, SweepPlan>();

  function evict(): void {
    let bytes = 0;
    for (const [key, plan] of [...plans].reverse()) {
      bytes += plan.cells.byteLength + plan.start.byteLength;
      if (bytes > maxBytes) plans.delete(key);
    }
  }

  return {
    async get(area, build) {
      const { mast, window, radiusM, radialDensity } = area;
      const key = JSON.stringify([mast.lon, mast.lat, window.zoom, radiusM, radialDensity]);
      const plan = plans.get(key) ?? (await build());
      plans.delete(key);
      plans.set(key, plan);
      evict();
      return plan;
    },
  };
}
