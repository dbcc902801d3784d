import { findGeodesicPoint } from "@fellmark/geodesy";
import { InputError } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { applyChanges } from "./apply-changes.ts";
import { changesSchema } from "./changes.ts";
import type { CoverageRequest } from "./coverage-request.ts";
import { parseNetwork, parseNetworkCoverage, toCoverageRequest } from "./network-document.ts";
import { createExampleNetwork } from "./testing/example-network.ts";

const base = toCoverageRequest(parseNetwork(createExampleNetwork()), parseNetworkCoverage({ area: { radiusM: 5000 } }));

function changedBy(...changes: unknown[]): CoverageRequest {
  return applyChanges(base, changesSchema.parse(changes));
}

function problemsOf(...changes: unknown[]) {
  try {
    changedBy(...changes);
    return [];
  } catch (error) {
    if (error instanceof InputError) return error.problems;
    throw error;
  }
}

const horn = { id: "horn", kind: "horn", form: "corrugated", diameterM: 0.2, slantLengthM: 0.4 };
const newSector = {
  id: "s2-e",
  site: "s2",
  antenna: "a2",
  radio: "r1",
  heightAglM: 20,
  azimuthDeg: 90,
  channel: { centreMhz: 5660, widthMhz: 20 },
  powerDbm: 19,
  timingGroup: "g1",
};
const emitter = {
  id: "e1",
  lon: -76.7,
  lat: 40.7,
  heightAglM: 20,
  eirpDbm: 36,
  channel: { centreMhz: 5601, widthMhz: 5 },
};

describe("a change", () => {
  it.each<[Record<string, unknown>, Record<string, unknown>]>([
    [{ kind: "swap-antenna", antenna: "a3" }, { antenna: "a3" }],
    [{ kind: "swap-antenna", antenna: horn }, { antenna: "horn" }],
    [{ kind: "turn", azimuthDeg: 15 }, { azimuthDeg: 15 }],
    [{ kind: "tilt", downtiltDeg: 5 }, { downtiltDeg: 5 }],
    [{ kind: "height", heightAglM: 12.5 }, { heightAglM: 12.5 }],
    [{ kind: "channel", channel: { centreMhz: 5700, widthMhz: 40 } }, { channel: { centreMhz: 5700, widthMhz: 40 } }],
    [{ kind: "power", powerDbm: 10 }, { powerDbm: 10 }],
    [{ kind: "feeder", feederLossDb: 3 }, { feederLossDb: 3 }],
    [{ kind: "timing", timingGroup: "alone" }, { timingGroup: "alone" }],
    [{ kind: "without-lobes", power: "peak-kept" }, { antenna: "a2.without-lobes.peak-kept" }],
  ])("%j alters that sector only", (change, fields) => {
    const before = structuredClone(base);
    const { sectors } = changedBy({ ...change, sector: "s1-n" });
    expect(sectors).toEqual([{ ...base.sectors[0], ...fields }, base.sectors[1]]);
    expect(base).toEqual(before);
  });

  it("puts a described antenna among the others, once", () => {
    const both = ["s1-n", "s1-s"].map((sector) => ({ kind: "swap-antenna", sector, antenna: horn }));
    expect(changedBy(...both).antennas).toEqual([...base.antennas, horn]);
    const other = { ...both[1], antenna: { ...horn, diameterM: 0.3 } };
    expect(problemsOf(both[0], other)).toMatchObject([{ pointer: "/changes/1/antenna/id" }]);
  });

  it("replaces a feeder by its loss", () => {
    const feeder = { cable: "foam-10mm", lengthM: 2, connectors: 2 };
    const built = { ...base, sectors: base.sectors.map((sector) => ({ ...sector, feeder, feederLossDb: 0 })) };
    const changes = changesSchema.parse([{ kind: "feeder", sector: "s1-n", feederLossDb: 3 }]);
    const [first, second] = applyChanges(built, changes).sectors;
    expect(first).toEqual({ ...base.sectors[0], feederLossDb: 3 });
    expect(second?.feeder).toEqual(feeder);
  });

  it("splits a sector, and gives each subscriber to the part that points at it", () => {
    // u1 stands due north of the mast (same longitude).
    const into = [
      { id: "s1-w", azimuthDeg: 300, antenna: "a2" },
      { id: "s1-e", azimuthDeg: 20, antenna: "a3", channel: { centreMhz: 5700, widthMhz: 20 } },
    ];
    const { sectors, subscribers, isolations } = changedBy({ kind: "split", sector: "s1-n", into });
    expect(sectors.map(({ id }) => id)).toEqual(["s1-w", "s1-e", "s1-s"]);
    expect(sectors[0]).toEqual({ ...base.sectors[0], id: "s1-w", azimuthDeg: 300 });
    expect(subscribers.map(({ sector }) => sector)).toEqual(["s1-e", "s1-s"]);
    expect(isolations).toEqual([]);
  });

  it("gives each subscriber of a split to the part of the least angle, over north too", () => {
    const site = base.sites.find(({ id }) => id === base.sectors[0].site);
    if (!site) throw new TypeError("the first sector stands on no site");
    const azimuths = [340, 100, 220];
    const parts = azimuths.map((azimuthDeg) => ({ id: `p${azimuthDeg}`, azimuthDeg, antenna: "a2" }));
    const bearings = [0, 10, 39, 41, 90, 159, 161, 200, 279, 281, 330, 359];
    const [one] = base.subscribers;
    const crowd = {
      ...base,
      subscribers: bearings.map((bearing) => ({
        ...{ ...one, id: `b${bearing}`, sector: base.sectors[0].id },
        ...findGeodesicPoint(site, bearing, 2000),
      })),
    };
    const change = { kind: "split", sector: base.sectors[0].id, into: parts };
    const { subscribers } = applyChanges(crowd, changesSchema.parse([change]));
    // Half way between two parts: 40, 160 and 280 degrees.
    const expected = [340, 340, 340, 100, 100, 100, 220, 220, 220, 340, 340, 340];
    expect(subscribers.map(({ sector }) => sector)).toEqual(expected.map((azimuthDeg) => `p${azimuthDeg}`));
  });

  it("adds a sector on a new site, an emitter, and removes a sector with its subscribers", () => {
    const site = { id: "s2", lon: -76.7, lat: 40.8 };
    const { sites, sectors } = changedBy({ kind: "add-sector", sector: newSector, site });
    expect([sites.length, sectors.length]).toEqual([2, 3]);
    expect(changedBy({ kind: "add-emitter", emitter }).emitters).toMatchObject([{ id: "e1", activity: 1 }]);
    const without = changedBy({ kind: "remove-sector", sector: "s1-n" });
    expect(without.sectors).toEqual([base.sectors[1]]);
    expect(without.subscribers.map(({ id }) => id)).toEqual(["u2"]);
    expect(without.isolations).toEqual([]);
  });

  it("moves a mast with its sectors", () => {
    const { sites, sectors } = changedBy({ kind: "move-site", site: "s1", lon: -76.71, lat: 40.79 });
    expect(sites).toEqual(base.sites.map((site) => (site.id === "s1" ? { id: "s1", lon: -76.71, lat: 40.79 } : site)));
    expect(sectors).toEqual(base.sectors);
  });

  it("gives every place another CPE by the fields it names, and a feeder's loss for the feeder", () => {
    const feeder = { cable: "foam-10mm", lengthM: 2, connectors: 2 };
    const built = { ...base, cpe: { ...base.cpe, feeder } };
    const change = (fields: object) => applyChanges(built, changesSchema.parse([{ kind: "cpe", ...fields }]));
    expect(change({ heightAglM: 9 }).cpe).toEqual({ ...built.cpe, heightAglM: 9 });
    expect(change({ feederLossDb: 2 }).cpe).toEqual({ ...base.cpe, feederLossDb: 2 });
    const changed = change({ antenna: horn, powerDbm: 10, mount: "wall", heightAboveRoofM: 2 });
    expect(changed.cpe).toEqual({ ...built.cpe, antenna: "horn", powerDbm: 10, mount: "wall", heightAboveRoofM: 2 });
    expect(changed.antennas).toEqual([...base.antennas, horn]);
    expect(() => change({})).toThrow("give at least one field");
  });

  it("changes the speeds of a plan, the plan of a subscriber, and adds subscribers", () => {
    const [one] = base.subscribers;
    const [plan] = base.plans;
    const faster = changedBy({ kind: "plan", plan: plan.id, downMbps: 51, upMbps: 6 });
    expect(faster.plans[0]).toEqual({ ...plan, downMbps: 51, upMbps: 6 });
    expect(faster.plans.slice(1)).toEqual(base.plans.slice(1));
    const other = base.plans.at(-1)?.id;
    const sold = changedBy({ kind: "subscriber-plan", subscriber: one.id, plan: other });
    expect(sold.subscribers).toEqual([{ ...one, plan: other }, ...base.subscribers.slice(1)]);
    const more = changedBy({ kind: "add-subscribers", subscribers: [{ ...one, id: "new" }] });
    expect(more.subscribers).toEqual([...base.subscribers, { ...one, id: "new" }]);
  });

  it("takes an antenna that a part of a split or a new sector brings along", () => {
    const into = [
      { id: "s1-w", azimuthDeg: 300, antenna: horn },
      { id: "s1-e", azimuthDeg: 20, antenna: horn },
    ];
    const halved = changedBy({ kind: "split", sector: "s1-n", into });
    expect(halved.antennas).toEqual([...base.antennas, horn]);
    expect(halved.sectors.map(({ antenna }) => antenna)).toEqual(["horn", "horn", base.sectors[1].antenna]);
    const more = changedBy({ kind: "add-sector", sector: { ...newSector, site: "s1", antenna: horn } });
    expect([more.antennas.at(-1), more.sectors.at(-1)?.antenna]).toEqual([horn, "horn"]);
  });

  it("sees the changes before it", () => {
    const site = { id: "s2", lon: -76.7, lat: 40.8 };
    const turn = { kind: "turn", sector: "s2-e", azimuthDeg: 100 };
    expect(changedBy({ kind: "add-sector", sector: newSector, site }, turn).sectors[2]?.azimuthDeg).toBe(100);
    expect(problemsOf(turn, { kind: "add-sector", sector: newSector, site })).toMatchObject([
      { pointer: "/changes/0/sector" },
    ]);
  });

  it("takes the cap of obstacles off", () => {
    expect(changedBy({ kind: "obstacle-cap", obstacleCapDb: null }).model.obstacleCapDb).toBeNull();
  });

  it.each<[Record<string, unknown>, string]>([
    [{ kind: "turn", sector: "nowhere", azimuthDeg: 1 }, "/sector"],
    [{ kind: "remove-sector", sector: "nowhere" }, "/sector"],
    [{ kind: "without-lobes", sector: "nowhere", power: "peak-kept" }, "/sector"],
    [{ kind: "swap-antenna", sector: "s1-n", antenna: "nowhere" }, "/antenna"],
    [
      {
        kind: "split",
        sector: "s1-n",
        into: [
          { id: "x", azimuthDeg: 0, antenna: "a2" },
          { id: "y", azimuthDeg: 9, antenna: "nowhere" },
        ],
      },
      "/into/1/antenna",
    ],
    [
      {
        kind: "split",
        sector: "s1-n",
        into: [
          { id: "x", azimuthDeg: 0, antenna: "a2" },
          { id: "x", azimuthDeg: 9, antenna: "a2" },
        ],
      },
      "/into/1/id",
    ],
    [
      {
        kind: "split",
        sector: "s1-n",
        into: [
          { id: "s1-s", azimuthDeg: 0, antenna: "a2" },
          { id: "x", azimuthDeg: 9, antenna: "a2" },
        ],
      },
      "/into/0/id",
    ],
    [{ kind: "add-sector", sector: newSector }, "/sector/site"],
    [{ kind: "add-sector", sector: { ...newSector, id: "s1-n" } }, "/sector/id"],
    [{ kind: "add-sector", sector: { ...newSector, site: "s1", radio: "nowhere" } }, "/sector/radio"],
    [{ kind: "add-emitter", emitter: { ...emitter, antenna: "nowhere" } }, "/emitter/antenna"],
    [{ kind: "height", sector: "nowhere", heightAglM: 5 }, "/sector"],
    [{ kind: "move-site", site: "nowhere", lon: 1, lat: 1 }, "/site"],
    [{ kind: "cpe", antenna: "nowhere" }, "/antenna"],
    [{ kind: "cpe", radio: "nowhere" }, "/radio"],
    [{ kind: "plan", plan: "nowhere", downMbps: 1, upMbps: 1 }, "/plan"],
    [{ kind: "subscriber-plan", subscriber: "nowhere", plan: "nowhere" }, "/subscriber"],
    [{ kind: "subscriber-plan", subscriber: "u1", plan: "nowhere" }, "/plan"],
    [{ kind: "add-subscribers", subscribers: [base.subscribers[0]] }, "/subscribers/0/id"],
    [
      { kind: "add-subscribers", subscribers: [{ ...base.subscribers[0], id: "n", sector: "x" }] },
      "/subscribers/0/sector",
    ],
    [{ kind: "add-subscribers", subscribers: [{ ...base.subscribers[0], id: "n", plan: "x" }] }, "/subscribers/0/plan"],
  ])("%j is refused by its pointer", (change, below) => {
    expect(problemsOf(change).map(({ pointer }) => pointer)).toEqual([`/changes/0${below}`]);
  });

  it("is refused where the changed network would not hold together", () => {
    const site = { id: "s2", lon: 20, lat: 40.8 };
    expect(problemsOf({ kind: "add-sector", sector: newSector, site })).toMatchObject([{ pointer: "/changes" }]);
  });
});
