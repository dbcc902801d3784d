import { writeFileSync } from "node:fs";
import path from "node:path";
import { findGeodesic } from "@fellmark/geodesy";
import { createSeededRandom, createTempDir } from "@fellmark/testkit";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { importPremises } from "./import/import-premises.ts";
import { openPremisesList, openPremisesShelf, type PremisesList } from "./premises-list.ts";

/** Invented addresses. */
const ADDRESSES = [
  "12 Alder Street, Thornby",
  "12 Alder Street, Overmoor",
  "120 Alder Street, Thornby",
  "14 Alder Street, Thornby",
  "12 Aldermoor Road, Thornby",
  "5 Route 12, Thornby",
  "3 Saint Orran's Lane, Overmoor",
  "Fennweg 12a, Südhof",
  "7 Merrowdale Avenue, Thornby",
];

describe("search of premises", () => {
  const folder = createTempDir();
  let list: PremisesList;
  beforeAll(async () => {
    list = await listOf(
      folder.path,
      ADDRESSES.map((address, index) => [String(index), address, -72 + index / 100, 44]),
    );
  });
  afterAll(() => {
    list.close();
    folder.remove();
  });

  const found = (query: string, isTyping = false) =>
    list.search(query, { isTyping }).hits.map(({ address }) => address);

  it.each([
    ["every word in any order", "thornby 14 alder street", "14 Alder Street, Thornby"],
    ["abbreviations", "14 ALDER ST. Thornby", "14 Alder Street, Thornby"],
    ["a word written short in the list's place", "3 St Orrans Ln", "3 Saint Orran's Lane, Overmoor"],
    ["accents left out, the number behind", "fennweg 12a sudhof", "Fennweg 12a, Südhof"],
    ["one typo", "7 Merowdale Avenue", "7 Merrowdale Avenue, Thornby"],
    ["one typo in each word", "7 Merrowdlae Avenu Thorny", "7 Merrowdale Avenue, Thornby"],
    ["one typo in a word of the table", "14 Alder Stret", "14 Alder Street, Thornby"],
  ])("finds by %s", (_name, query, address) => {
    expect(found(query)).toEqual([address]);
  });

  it("gives all that are equally good, and says so", () => {
    const result = list.search("12 Alder Street", { limit: 1 });
    expect(result.tie).toBe(true);
    expect(result.hits.map(({ address }) => address)).toEqual([
      "12 Alder Street, Overmoor",
      "12 Alder Street, Thornby",
    ]);
    expect(list.search("12 Alder Street Overmoor").tie).toBe(false);
  });

  it("gives nothing where a number or a word is not known", () => {
    for (const query of [
      "13 Alder Street Thornby",
      "121 Alder Street",
      "14 Birch Street",
      "14 Alder Street Thornby X",
      "",
      "?",
    ]) {
      expect(list.search(query)).toEqual({ hits: [], tie: false });
    }
  });

  it("takes the first number for the house: the road of that number comes last", () => {
    expect(found("12 thornby").at(-1)).toBe("5 Route 12, Thornby");
  });

  it("lets the last word go on while it is being typed, also spelled out", () => {
    expect(found("12 alder", true)).toEqual([
      "12 Alder Street, Overmoor",
      "12 Alder Street, Thornby",
      "12 Aldermoor Road, Thornby",
    ]);
    expect(found("14 alder stre", true)).toEqual(["14 Alder Street, Thornby"]);
    expect(found("7 merow", true)).toEqual(["7 Merrowdale Avenue, Thornby"]);
    expect(found("7 merrow")).toEqual([]);
    expect(found("12 alder street th", true)[0]).toBe("12 Alder Street, Thornby");
  });

  it("takes marks of the query language for what they are", () => {
    for (const query of ['"', "a OR b", "NEAR(12 14)", "alder*", "-alder", "words:alder", "(", "\0"]) {
      expect(() => list.search(query)).not.toThrow();
    }
    expect(found("alder* OR 12")).toEqual([]);
  });
});

describe("nearest premises", () => {
  const folder = createTempDir();
  afterAll(() => folder.remove());

  it("agrees with measuring to every one, across the antimeridian too", async () => {
    const random = createSeededRandom(3);
    const wrapped = (lon: number) => (lon > 180 ? lon - 360 : lon);
    const points = Array.from(
      { length: 2000 },
      (_, index) => [String(index), wrapped(179.5 + random()), 60 + random()] as const,
    );
    const list = await listOf(
      folder.path,
      points.map(([id, lon, lat]) => [id, `${id} Alder Row`, lon, lat]),
    );
    for (let question = 0; question < 50; question++) {
      const at = { lon: wrapped(179.5 + random()), lat: 60 + random() };
      const distances = points.map(([id, lon, lat]) => ({
        id,
        distanceM: findGeodesic(at, { lon, lat }).distanceM,
      }));
      const nearest = distances.sort((a, b) => a.distanceM - b.distanceM).slice(0, 5);
      expect(list.nearest(at, 5).map(({ id, distanceM }) => ({ id, distanceM }))).toEqual(nearest);
    }
    list.close();
  });
});

describe("shelf of premises", () => {
  const folder = createTempDir();
  afterAll(() => folder.remove());

  it("knows nothing of a tenant without a list, and sees a new list at once", async () => {
    const shelf = openPremisesShelf(folder.path);
    expect(await shelf.list("default")).toBeUndefined();
    (await listOf(folder.path, [["1", "1 Alder Row", 1, 1]])).close();
    const first = await shelf.list("default");
    expect(first?.count).toBe(1);
    expect(await shelf.list("default")).toBe(first);
    (await listOf(folder.path, [["2", "2 Alder Row", 1, 1]])).close();
    const both = await Promise.all([shelf.list("default"), shelf.list("default")]);
    expect(both[0]).toBe(both[1]);
    expect(both[0]?.withId("2")).toBeDefined();
    shelf.close();
  });
});

async function listOf(dir: string, rows: (readonly [id: string, address: string, lon: number, lat: number])[]) {
  const file = path.join(dir, "list.csv");
  const lines = rows.map(([id, address, lon, lat]) => `${id},"${address}",${lon},${lat}`);
  writeFileSync(file, `id,address,lon,lat\n${lines.join("\n")}\n`);
  await importPremises({ dir, tenant: "default" }, file, { map: {} });
  return (await openPremisesList(dir, "default")) as PremisesList;
}
