import { describe, expect, it } from "vitest";
import { buildLayerJob, type LayerInput } from "./layers/build-layer-job.ts";
import { drawNetwork } from "./layers/testing/seeded-network.ts";
import { createLevelStore } from "./level-store.ts";

const input = drawNetwork({ seed: 2, chains: 1, comesAndGoes: false, emitters: 2, sites: 2 });
const job = buildLayerJob(input);
const { height } = job.window;

function changeRequest(change: Partial<LayerInput["request"]>): LayerInput {
  return { ...input, request: { ...input.request, ...change } };
}

/** Sources that a store takes for changed once rows were filled for the network; null: all rows are new. */
function listChanged(after: LayerInput, jobAfter = job): number[] | null | undefined {
  const store = createLevelStore(1e9);
  store.rowsFor(input, job, 64);
  store.settle();
  return store.rowsFor(after, jobAfter, 64)?.[0].changed;
}

const { sectors, emitters, cpe, model, terrain, antennas, radios } = input.request;

describe("levels that are kept", () => {
  it("are the same rows, strip by strip, without a change where nothing has changed", () => {
    const store = createLevelStore(1e9);
    const first = store.rowsFor(input, job, 5);
    expect(first).toHaveLength(Math.ceil(height / 5));
    expect(first?.map(({ rows }) => rows.length).reduce((sum, rows) => sum + rows)).toBe(height);
    expect(first?.[0].rows).toHaveLength(5);
    store.settle();
    const again = store.rowsFor(input, job, 5);
    expect(again).toBe(first);
    expect(again?.map(({ changed }) => changed)).toEqual(first?.map(() => []));
  });

  it("are new where the rows were never filled", () => {
    const store = createLevelStore(1e9);
    const first = store.rowsFor(input, job, 64);
    const second = store.rowsFor(input, job, 64);
    expect(second).not.toBe(first);
    expect(second?.[0].changed).toBeNull();
    store.settle();
    store.rowsFor(input, job, 64);
    expect(store.rowsFor(input, job, 64)?.[0].changed).toBeNull();
  });

  it.each<[string, LayerInput, number[]]>([
    ["a sector that turned", changeRequest({ sectors: sectors.with(1, { ...sectors[1], azimuthDeg: 7 }) }), [1]],
    ["an emitter that grew", changeRequest({ emitters: emitters.with(1, { ...emitters[1], eirpDbm: 33 }) }), [5]],
    [
      "a radio that all share",
      changeRequest({ radios: radios.map((one) => ({ ...one, noiseFigureDb: 9 })) }),
      [0, 1, 2, 3],
    ],
    ["plans", changeRequest({ plans: [] }), []],
  ])("change with %s for that source alone", (_name, after, changed) => {
    expect(listChanged(after)).toEqual(changed);
  });

  it.each<[string, LayerInput]>([
    ["the CPE", changeRequest({ cpe: { ...cpe, heightAglM: 7 } })],
    ["the antenna of the CPE", changeRequest({ antennas: [{ id: "element", kind: "isotropic", gainDbi: 3 }] })],
    ["the model", changeRequest({ model: { ...model, gas: !model.gas } })],
    ["the terrain", changeRequest({ terrain: { ...terrain, fillVoids: !terrain.fillVoids } })],
    ["the quality", changeRequest({ quality: "accurate" })],
    ["the masts", { ...input, masts: input.masts.map((mast) => ({ ...mast, heightAglM: mast.heightAglM + 1 })) }],
    ["the order of the sources", { ...input, mastOfSource: [...input.mastOfSource].reverse() }],
  ])("are new after a change of %s", (_name, after) => {
    expect(listChanged(after)).toBeNull();
  });

  it("are those of an antenna that the CPE does not have: its sources change, no more", () => {
    const other = { id: "other", kind: "isotropic" as const, gainDbi: 3 };
    const own = changeRequest({ antennas: [...antennas, other] });
    expect(listChanged(own)).toEqual([]);
    const swapped = {
      ...own,
      request: { ...own.request, sectors: sectors.with(2, { ...sectors[2], antenna: "other" }) },
    };
    expect(listChanged(swapped)).toEqual([2]);
  });

  it("are new on another window, with other ports, and where sources come and go", () => {
    expect(listChanged(input, { ...job, window: { ...job.window, col0: 3 } })).toBeNull();
    expect(listChanged(input, { ...job, ports: 1 })).toBeNull();
    const alwaysOn = { ...job, sectors: job.sectors.map((one) => ({ ...one, activity: null })) };
    expect(job.sectors.some(({ activity }) => activity !== null)).toBe(true);
    expect(listChanged(input, alwaysOn)).toBeNull();
  });

  it("are not kept where they take more than the limit: 44 bytes a cell and more by mast, port and source", () => {
    const { masts, sources, ports, window } = job;
    const bytes = 44 + masts.length * 38 + ports * (12 + 4 * masts.length + 8 * sources.length);
    const cells = window.width * window.height;
    expect(createLevelStore(bytes * cells - 1).rowsFor(input, job, 64)).toBeNull();
    expect(createLevelStore(bytes * cells).rowsFor(input, job, 64)).not.toBeNull();
  });
});
