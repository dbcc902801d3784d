import { InputError } from "@fellmark/units";
import { expect, it } from "vitest";
import { checkAdvice } from "./comparison-request.ts";
import type { CoverageRequest } from "./coverage-request.ts";
import { parseCoverageRequest } from "./parse-request.ts";
import { createExampleRequest } from "./testing/example-request.ts";

const OWN = { table: "own", ownTables: [{ widthMhz: 20, steps: [{ sinrDb: 5, rateMbps: 10 }] }] };

/** The example request with other radio fields and channel width. */
function requestWith(radio: object, widthMhz = 20): Record<string, unknown> {
  const request = createExampleRequest() as { radios: object[]; sectors: { channel: object }[] };
  request.radios = [{ ...request.radios[0], ...radio }];
  for (const sector of request.sectors) sector.channel = { ...sector.channel, widthMhz };
  return { ...request };
}

it.each([
  [{}, 5],
  [{}, 60],
  [{ table: "lte-64qam" }, 10],
  [{ table: "nr-256qam" }, 80],
  [{ table: "802.11ax", guardIntervalUs: 3.2 }, 20],
  [{ table: "802.11ac", guardIntervalUs: 0.4 }, 20],
  [OWN, 20],
  [{ table: "own", ownTablesCsv: "widthMhz,sinrDb,rateMbps\n30,5,10" }, 30],
])("takes a radio with %j on %d MHz", (radio, widthMhz) => {
  expect(parseCoverageRequest(requestWith(radio, widthMhz)).sectors[0].channel.widthMhz).toBe(widthMhz);
});

it.each([
  [{ table: "own" }, 20, "/radios/0/table is own: state either ownTables or ownTablesCsv"],
  [{ ...OWN, table: "802.11ax" }, 20, "/radios/0/table is 802.11ax: own tables need the table own"],
  [
    { table: "802.11ax", guardIntervalUs: 0.4 },
    20,
    "/radios/0/guardIntervalUs is 0.4 us, which 802.11ax does not have",
  ],
  [{ table: "nr-64qam", guardIntervalUs: 0.8 }, 20, "/radios/0/guardIntervalUs is 0.8 us"],
  [{ table: "lte-64qam" }, 40, '/sectors/0/channel/widthMhz is 40 MHz, which radio "r1" (lte-64qam) does not have'],
  [OWN, 40, "/sectors/0/channel/widthMhz is 40 MHz"],
  [
    { table: "own", ownTablesCsv: "widthMhz,sinrDb,rateMbps\n20,5,10\n20,8,9" },
    20,
    "/radios/0/ownTablesCsv/0/steps/1 has a rate of 9 after 10: rates must rise",
  ],
])("refuses a radio with %j on %d MHz by field", (radio, widthMhz, says) => {
  expect(() => parseCoverageRequest(requestWith(radio, widthMhz))).toThrow(says);
});

it("refuses a CPE whose radio has no rate in common with a sector's", () => {
  const request = requestWith({}) as { radios: { id: string }[]; cpe: object };
  request.radios.push({ ...request.radios[0], id: "r2", ...OWN });
  expect(() => parseCoverageRequest({ ...request, cpe: { ...request.cpe, radio: "r2" } })).toThrow(
    '/cpe/radio has the table own, sector "s1-n" 802.11ax: they have no rate in common',
  );
});

it("refuses advice on a channel that the radios do not have", () => {
  const base: CoverageRequest = parseCoverageRequest(requestWith(OWN));
  const advice = { version: 1, base, channels: [{ centreMhz: 5600, widthMhz: 40 }] };
  expect(() => checkAdvice(advice as unknown as Parameters<typeof checkAdvice>[0])).toThrow(InputError);
  expect(() => checkAdvice(advice as unknown as Parameters<typeof checkAdvice>[0])).toThrow(
    "/channels/0/widthMhz is 40",
  );
});
