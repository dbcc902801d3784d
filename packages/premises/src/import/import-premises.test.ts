import { readdirSync, writeFileSync } from "node:fs";
import path from "node:path";
import { createTempDir } from "@fellmark/testkit";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { openPremisesList } from "../premises-list.ts";
import { type ImportOptions, importPremises } from "./import-premises.ts";

const HEADER = "id,address,lon,lat\n";

describe("import of premises", () => {
  let folder = createTempDir();
  beforeEach(() => {
    folder = createTempDir();
  });
  afterEach(() => folder.remove());

  const listDir = () => path.join(folder.path, "premises");

  function load(content: string | Uint8Array, options: Partial<ImportOptions> = {}) {
    const file = path.join(folder.path, "file");
    writeFileSync(file, content);
    return importPremises({ dir: listDir(), tenant: "default" }, file, { map: {}, ...options });
  }

  async function known(id: string) {
    const list = await openPremisesList(listDir(), "default");
    const found = list?.withId(id);
    list?.close();
    return found;
  }

  it("finds columns by their usual names, joins parts, and says what it read as what", async () => {
    const report = await load(
      "LocationID;House Number;Street;City;State;ZIP;Longitude;Latitude;Quality\n7;12;Alder Row;Thornby;VT;05001;-72.5;44.1;Rooftop\n",
    );
    expect(report).toMatchObject({
      file: { kind: "csv", delimiter: ";", encoding: "utf-8" },
      map: { id: "LocationID", house: "House Number", town: "City", lon: "Longitude", quality: "Quality" },
      rows: 1,
      imported: 1,
    });
    const address = "12 Alder Row, Thornby, VT 05001";
    expect(await known("7")).toEqual({ id: "7", address, lon: -72.5, lat: 44.1, qualityM: 10 });
  });

  it("takes columns by name from the map, and refuses one that is not there with those that are", async () => {
    const text = "ref no,where,east,north\n1,1 Alder Row,-72,44\n";
    const map = { id: "ref no", address: "where", lon: "east", lat: "north" };
    expect((await load(text, { map })).imported).toBe(1);
    await expect(load(text, { map: { ...map, lat: "nrth" } })).rejects.toMatchObject({
      problems: [{ pointer: "/map/lat", limit: "the columns are: ref no, where, east, north" }],
    });
    await expect(load("a,b\n1,2\n")).rejects.toMatchObject({
      problems: [{ pointer: "/map/address" }, { pointer: "/map/lon" }, { pointer: "/map/lat" }],
    });
  });

  it.each([
    ["an empty latitude", "1,1 Alder Row,-72,", "lat", "no_point"],
    ["coordinates in words", "1,1 Alder Row,here,44", "lon", "not_a_number"],
    ["degrees of the other axis", "1,1 Alder Row,44°18'N,-72", "lon", "swapped"],
    ["swapped columns", "1,1 Alder Row,44,-120", "lat", "swapped"],
    ["a latitude out of range", "1,1 Alder Row,-120,-99", "lat", "out_of_range"],
    ["a longitude out of range", "1,1 Alder Row,-720,44", "lon", "out_of_range"],
    ["NaN", "1,1 Alder Row,NaN,44", "lon", "not_a_number"],
    ["the point 0, 0", "1,1 Alder Row,0,0", "lon", "zero_point"],
    ["no address", "1,,-72,44", "address", "no_address"],
    ["an address without a word", "1,?!,-72,44", "address", "no_address"],
    ["an address of 10 kB", `1,${"x".repeat(10_000)},-72,44`, "address", "too_long"],
    ["a delimiter in a cell without quotes", "1,1 Alder Row,Thornby,-72,44", "", "cell_count"],
    ["text behind a closing quote", '1,"1 Alder" Row,-72,44', "cell 2", "bad_quotes"],
    ["an id that was there", "0,1 Alder Row,-72,44", "id", "duplicate"],
  ])("leaves out a row with %s and says why", async (_name, row, column, reason) => {
    const report = await load(`${HEADER}0,0 Alder Row,-72,44\n${row}\n`);
    expect(report).toMatchObject({ rows: 2, imported: 1, rejected: 1, byReason: { [reason]: 1 } });
    expect(report.rejectedRows).toEqual([
      { row: 3, column, reason, detail: expect.any(String), suggestion: expect.any(String) },
    ]);
    expect(JSON.stringify(report).length).toBeLessThan(1500);
  });

  it("notices swapped degrees and points far off by the area in which points are expected", async () => {
    const rows = "1,1 Alder Row,-72,44\n2,2 Alder Row,44,-72\n3,3 Alder Row,10,50\n";
    const report = await load(HEADER + rows, { area: [-73, 43, -71, 45] });
    expect(report.rejectedRows).toMatchObject([
      { row: 3, reason: "swapped", suggestion: expect.stringContaining("-72, 44") },
    ]);
    expect(report).toMatchObject({ imported: 2, findings: [{ code: "outside_area", rows: 1 }] });
    const across = await load(`${HEADER}1,1 Alder Row,-179.5,10\n`, { area: [179, 9, 181, 11] });
    expect(across.findings).toEqual([]);
  });

  it("takes a plain No for the house number, and names the columns that went nowhere", async () => {
    const report = await load("id,Street,No,Colour,lon,lat\n1,Alder Row,7,red,-72,44\n");
    expect(report.map).toMatchObject({ street: "Street", house: "No" });
    expect(report.findings).toEqual([{ code: "unused_columns", rows: 1, detail: expect.stringContaining("Colour") }]);
  });

  it("keeps a script in an address as the text it is", async () => {
    const address = '<script>alert("1")</script> Row';
    await load(`${HEADER}1,"${address.replaceAll('"', '""')}",-72,44\n`);
    expect(await known("1")).toMatchObject({ address });
  });

  it("lists a thousand rejected rows and counts them all", async () => {
    const report = await load(`${HEADER}0,0 Alder Row,-72,44\n${"1,1 Alder Row,x,44\n".repeat(1500)}`);
    expect(report).toMatchObject({ rejected: 1500, byReason: { not_a_number: 1500 } });
    expect(report.rejectedRows).toHaveLength(1000);
  });

  it.each<[string, BufferEncoding]>([
    ["utf-16le", "utf16le"],
    ["windows-1252", "latin1"],
  ])("takes a file in %s", async (encoding, written) => {
    const text = `${written === "utf16le" ? "\ufeff" : ""}${HEADER}1,1 Rue des Chênes,-72,44\n`;
    expect((await load(Buffer.from(text, written))).file.encoding).toBe(encoding);
    expect(await known("1")).toMatchObject({ address: "1 Rue des Chênes" });
  });

  it.each([
    ["an empty file", "", /is empty/],
    ["white space", " \n\n", /is empty/],
    ["a header alone", HEADER, /has no row below its header; the list is unchanged/],
    ["UTF-16 without a mark", Buffer.from(HEADER, "utf16le"), /UTF-16 without a byte order mark, or binary/],
    ["a spreadsheet", Buffer.from("504b0304140006000800", "hex"), /spreadsheet: save the sheet as CSV/],
    [
      "binary in the middle",
      `${HEADER}1,1 Alder Row,-72,44\n${"2,2 Alder Row,-72,44\n".repeat(5000)}\0\0`,
      /is binary/,
    ],
    ["an open quote", `${HEADER}1,1 Alder Row,-72,44\n2,"2 Alder Row,-72,44\n3,3 Alder Row,-72,44\n`, /quote in row 3/],
    ["a column twice", "id,lat,lat\n", /names the column "lat" twice/],
    ["JSON that is no GeoJSON", "[1, 2]", /not valid GeoJSON/],
  ])("refuses %s and leaves the list as it was", async (_name, content, message) => {
    await load(`${HEADER}keep,9 Birch Row,-72,44\n`);
    await expect(load(content)).rejects.toThrow(message);
    expect(await known("keep")).toBeDefined();
    expect(readdirSync(listDir()).sort()).toEqual(["default.sqlite", "default.sqlite.lock"]);
  });

  it("reads a byte order mark, old line ends, tabs and bars", async () => {
    expect((await load(`\ufeff${HEADER}1,1 Alder Row,-72,44\n`)).file.encoding).toBe("utf-8 with byte order mark");
    for (const [delimiter, lineEnd] of [
      ["\t", "\n"],
      ["|", "\r\n"],
      [";", "\r"],
    ]) {
      const text = `${HEADER}1,1 Alder Row,-72,44\n2,2 Alder Row,-72,44\n`;
      const report = await load(text.replaceAll(",", delimiter).replaceAll("\n", lineEnd));
      expect(report).toMatchObject({ file: { delimiter }, imported: 2 });
    }
  });

  it("says which columns it sees when told a delimiter that is not there", async () => {
    await expect(load(`${HEADER}1,1 Alder Row,-72,44\n`, { delimiter: ";" })).rejects.toMatchObject({
      problems: expect.arrayContaining([expect.objectContaining({ limit: "the columns are: id,address,lon,lat" })]),
    });
  });

  // UTM zone 18N: x = 500 km is the zone's meridian, 75 W; y = 0 the equator (EPSG Guidance Note 7-2, 3.5.2).
  it("reads points in another system", async () => {
    await load("id,address,x,y\n1,1 Alder Row,500000,0.0001\n", { crs: 32618 });
    expect((await known("1"))?.lon).toBeCloseTo(-75, 9);
    await expect(load(`${HEADER}1,1 Alder Row,-72,44\n`, { crs: 9999 })).rejects.toMatchObject({
      problems: [{ pointer: "/crs" }],
    });
  });

  it("reads GeoJSON, its properties as columns, and leaves out all but points", async () => {
    const feature = (id: number, geometry: unknown) => ({
      type: "Feature",
      id,
      properties: { address: `${id} Alder Row` },
      geometry,
    });
    const features = [
      feature(1, { type: "Point", coordinates: [-72, 44] }),
      feature(2, { type: "Polygon", coordinates: [] }),
      feature(3, null),
      { type: "Point", coordinates: [-72, 44] },
    ];
    const report = await load(JSON.stringify({ type: "FeatureCollection", features }));
    expect(report).toMatchObject({ imported: 1, byReason: { not_a_point: 2, no_point: 1 } });
    expect(await known("1")).toMatchObject({ lon: -72, lat: 44, address: "1 Alder Row" });
  });

  it("asks for the system that old GeoJSON names", async () => {
    const text =
      '{"type":"FeatureCollection","crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:EPSG::26918"}},"features":[]}';
    await expect(load(text)).rejects.toMatchObject({ problems: [{ pointer: "/map/address" }] });
    await expect(load(text.replace("[]", '[{"type":"Feature","properties":{"address":"x"}}]'))).rejects.toMatchObject({
      problems: [{ pointer: "/crs", limit: "26918" }],
    });
  });

  it("knows a row without an id again by its words and point", async () => {
    const text = (address: string, lon: number) => `address,lon,lat\n"${address}",${lon},44.1001\n`;
    expect((await load(text("12 Alder Street, Thornby", -72.5001))).premises).toMatchObject({ added: 1, removed: 0 });
    const again = await load(text("12  ALDER ST Thornby", -72.5002));
    expect(again.premises).toMatchObject({ added: 0, changed: 1, removed: 0, count: 1 });
    expect((await load(text("12  ALDER ST Thornby", -72.5002))).premises).toMatchObject({
      same: 1,
      version: again.premises.version,
    });
  });

  it("replaces the list, or keeps what the file does not have", async () => {
    await load(`${HEADER}1,1 Alder Row,-72,44\n2,2 Alder Row,-72,44\n`);
    const kept = await load(`${HEADER}3,3 Alder Row,-72,44\n`, { keepOthers: true });
    expect(kept.premises).toMatchObject({ count: 3, added: 1, same: 2, removed: 0 });
    const replaced = await load(`${HEADER}3,3 Alder Row,-72,44\n`);
    expect(replaced.premises).toMatchObject({ count: 1, same: 1, removed: 2 });
  });

  it("takes words for the quality of points, and counts those it does not know", async () => {
    const report = await load(
      "id,address,lon,lat,quality\n1,1 Alder Row,-72,44,parcel\n2,2 Alder Row,-72,44,so so\n3,3 Alder Row,-72,44,\n",
      {
        quality: "centroid",
      },
    );
    expect(report.findings).toEqual([{ code: "unknown_quality", rows: 1, detail: expect.any(String) }]);
    expect([(await known("1"))?.qualityM, (await known("2"))?.qualityM, (await known("3"))?.qualityM]).toEqual([
      50,
      null,
      500,
    ]);
    await expect(load(HEADER, { quality: "superb" })).rejects.toMatchObject({ problems: [{ pointer: "/quality" }] });
  });

  it("stops when told to, and leaves nothing behind", async () => {
    const signal = AbortSignal.abort(new Error("stopped"));
    await expect(load(`${HEADER}1,1 Alder Row,-72,44\n`, { signal })).rejects.toThrow("stopped");
    expect(readdirSync(listDir())).toEqual(["default.sqlite.lock"]);
  });
});
