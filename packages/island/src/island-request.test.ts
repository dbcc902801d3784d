import { parseCoverageRequest } from "@fellmark/network";
import { expect, test } from "vitest";
import { islandAddresses, islandRequest } from "./island-request.ts";

test("the request is one that the service takes: two masts, four sectors, two plans", () => {
  const request = parseCoverageRequest(JSON.parse(JSON.stringify(islandRequest())));
  expect(request.sites).toHaveLength(2);
  expect(request.sectors).toHaveLength(4);
  expect(request.plans).toHaveLength(2);
});

test("every address lies within reach of a mast", () => {
  const { sites, area } = islandRequest();
  const reachDeg = area.radiusM / 111_000;
  for (const { lon, lat } of islandAddresses()) {
    expect(sites.some((site) => Math.hypot(site.lon - lon, site.lat - lat) < reachDeg)).toBe(true);
  }
});
