import type { JobCompute } from "../compute-job.ts";

/** A compute child that only coverages may be asked of. */
export function createCoverOnly(cover: JobCompute["cover"]): JobCompute {
  const refuse = () => Promise.reject(new Error("only coverages are asked for"));
  return { cover, compare: refuse, advise: refuse, batch: refuse };
}
