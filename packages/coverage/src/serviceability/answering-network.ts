import type { CoverageRequest, KitSpec } from "@fellmark/network";
import type { TerrainCatalogue } from "@fellmark/terrain";
import { answerFromTerrain } from "../answer/answer-from-terrain.ts";
import { heardBySectors } from "../coverage.ts";
import { groundHeightAt } from "../ground-height.ts";
import type { Engine } from "../mast-loss.ts";
import { MODEL_VERSION } from "../model-version.ts";
import type { AnsweringNetwork } from "./ask.ts";

/** Opens a network over its terrain. Throws as the engine of answers does. */
export async function openAnsweringNetwork(
  engine: Engine,
  catalogue: TerrainCatalogue,
  request: CoverageRequest,
  kits: ReadonlyMap<string, KitSpec> = new Map(),
): Promise<AnsweringNetwork> {
  const noise = await heardBySectors(engine, catalogue, request);
  return {
    request,
    kits,
    async ask(at, { kit, heightAglM, sectors } = {}) {
      const changed = { ...request.kit, ...kit, ...(heightAglM !== undefined && { heightAglM }) };
      const answer = await answerFromTerrain(catalogue, { ...request, kit: changed }, at, noise);
      const links = sectors ? answer.links.filter(({ sector }) => sectors.includes(sector)) : answer.links;
      return {
        ...answer,
        links,
        plans: [],
        clutter: { known: false, mast: [], kit: null },
        leaf: null,
        inputs: { model: MODEL_VERSION, terrain: catalogue.fingerprint, correction: null },
        warnings: [],
      };
    },
    isGroundKnown: async (at) => !Number.isNaN(await groundHeightAt(catalogue, request.terrain.sets, at)),
  };
}
