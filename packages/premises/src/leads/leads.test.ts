import { writeFileSync } from "node:fs";
import path from "node:path";
import { createTempDir, needsShared, sharedDir } from "@fellmark/testkit";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { importPremises } from "../import/import-premises.ts";
import { openPremisesList, type PremisesList } from "../premises-list.ts";
import { findLeadPlace } from "./lead-place.ts";
import { type LeadOptions, readLeads } from "./lead-reader.ts";

const folder = createTempDir();
let list: PremisesList;
beforeAll(async () => {
  const file = path.join(folder.path, "list.csv");
  writeFileSync(
    file,
    "id,address,lon,lat\n1,12 Alder Row,-72,44\n2,3 Birch Row,-72.1,44\n3,3 Birch Road,-72.1,44\n4,5 Cedar Row Apt 7,-72,44\n",
  );
  await importPremises({ dir: folder.path, tenant: "default" }, file, { map: {} });
  list = (await openPremisesList(folder.path, "default")) as PremisesList;
});
afterAll(() => {
  list.close();
  folder.remove();
});

async function leadsOf(text: string, options: Partial<LeadOptions> = {}) {
  const file = path.join(folder.path, "leads");
  writeFileSync(file, text);
  return (await readLeads(file, { map: {}, ...options })).leads;
}

describe("leads", () => {
  it("are read with whatever their rows say, faults and all", async () => {
    const leads = await leadsOf(
      "ref;street;town;lon;lat;height\n7;12 Alder Row;Thornby;;;6,5\n8;;;-72;44;6.5\n9;a;b\n",
    );
    expect(
      leads.map(({ row, id, address, point, heightAglM, fault }) => [
        row,
        id,
        address,
        point,
        heightAglM,
        fault?.reason,
      ]),
    ).toEqual([
      [2, "7", "12 Alder Row, Thornby", null, 6.5, undefined],
      [3, "8", "", { lon: -72, lat: 44 }, 6.5, undefined],
      [4, "9", "a, b", null, null, "cell_count"],
    ]);
  });

  it("of a sheet with semicolons have decimal commas, and degrees with minutes and seconds", async () => {
    const rows = ["-72,5301;44,3043", "72°31'48,36\"W;44°18'15,48\"N", "44°18'N;72°31'W", "-72.5301;44.3043"];
    const leads = await leadsOf(`LON;Lat\n${rows.join("\n")}\n`);
    for (const { point } of [leads[0], leads[1], leads[3]]) {
      expect(point?.lon).toBeCloseTo(-72.5301, 9);
      expect(point?.lat).toBeCloseTo(44.3043, 9);
    }
    expect(leads[2].fault).toMatchObject({ reason: "swapped", column: "LON" });
  });

  it("are refused where there are none", async () => {
    await expect(leadsOf("id,lon,lat\n")).rejects.toThrow("the file has no row below its header");
  });

  it("keep the place of rows that end before the address", async () => {
    const leads = await leadsOf("id,lon,lat,address\n1,-72,44,12 Alder Row\n2,-72\n");
    expect(leads.map(({ address, fault }) => [address, fault?.reason])).toEqual([
      ["12 Alder Row", undefined],
      ["", "cell_count"],
    ]);
  });

  it("must have a column that tells where they are", async () => {
    await expect(leadsOf("name,phone\nx,1\n")).rejects.toMatchObject({
      problems: [{ pointer: "/map", limit: "the columns are: name, phone" }],
    });
    await expect(leadsOf("")).rejects.toThrow(/is empty/);
  });

  it.each([
    ["the point, whatever else is there", "12 Alder Row,1,-71,43", { at: { lon: -71, lat: 43 }, premises: null }],
    ["the premises", ",2,,", { at: { lon: -72.1, lat: 44 }, premises: { id: "2" } }],
    [
      "the address",
      "12 alder row,,,",
      { at: { lon: -72, lat: 44 }, locationAccuracyM: 150, premises: { id: "1" }, typos: 0 },
    ],
    ["the address with a typo, which is told", "12 aldr row,,,", { premises: { id: "1" }, typos: 1 }],
    ["no premises of another id", ",9,,", { notKnown: { reason: "unknown_premises" } }],
    ["no address that is not known", "13 Alder Row,,,", { notKnown: { reason: "unknown_address" } }],
    ["no other house that has the number too", "7 Cedar Row,,,", { notKnown: { reason: "unknown_address" } }],
    ["the house, wherever the flat stands", "apt 7 / 5 cedar row,,,", { premises: { id: "4" } }],
    ["no address that fits several", "3 Birch,,,", { notKnown: { reason: "several_addresses" } }],
    ["nothing where nothing is said", ",,,", { notKnown: { reason: "no_address" } }],
    ["nothing for half a point", ",,-72,", { notKnown: { reason: "no_point" } }],
  ])("are placed by %s", async (_name, row, place) => {
    const [lead] = await leadsOf(`address,premises,lon,lat\n${row}\n`);
    expect(findLeadPlace(list, lead)).toMatchObject(place);
  });

  it("are not known by address where no list was imported", async () => {
    const [lead] = await leadsOf("address\n12 Alder Row\n");
    expect(findLeadPlace(undefined, lead)).toMatchObject({ notKnown: { reason: "no_premises" } });
  });
});

// Points of real premises: counted, never shown. Count and source: ../shared/README.md, VT Enhanced 911 Board, VCGI.
describe.skipIf(!needsShared())("leads at real premises", () => {
  it("are all read with a point", async () => {
    const { leads } = await readLeads(path.join(sharedDir, "terrain/companions/premises_points_N44W072.csv"), {
      map: {},
    });
    const inTile = leads.filter(({ point }) => point && Math.floor(point.lon) === -72 && Math.floor(point.lat) === 44);
    expect([leads.length, inTile.length, leads.filter(({ fault }) => fault).length]).toEqual([3804, 3804, 0]);
  });
});
