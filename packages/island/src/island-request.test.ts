import { parseCoverageRequest } from "@fellmark/network";
import { expect, test } from "vitest";
import { buildIslandRequest, findIslandAddresses } from "./island-request.ts";

const request = parseCoverageRequest(JSON.parse(JSON.stringify(buildIslandRequest())));

test("the request is one that the service takes: two masts, four sectors, two plans", () => {
  expect(request.sites).toHaveLength(2);
  expect(request.sectors).toHaveLength(4);
  expect(request.plans).toHaveLength(2);
});

test("the channels lie in the band of 47 CFR 15.407(a)(3), and no two sectors of one mast share one", () => {
  const { sectors } = request;
  for (const { site, channel } of sectors) {
    expect(channel.centreMhz - channel.widthMhz / 2).toBeGreaterThanOrEqual(5725);
    expect(channel.centreMhz + channel.widthMhz / 2).toBeLessThanOrEqual(5850);
    const alike = sectors.filter((other) => other.site === site && other.channel.centreMhz === channel.centreMhz);
    expect(alike).toHaveLength(1);
  }
});

test("three addresses are found, each within reach of a mast", () => {
  const { sites, area } = request;
  const reachDeg = area.radiusM / 111_000;
  const addresses = findIslandAddresses();
  expect(addresses).toHaveLength(3);
  for (const { lon, lat } of addresses) {
    expect(sites.some((site) => Math.hypot(site.lon - lon, site.lat - lat) < reachDeg)).toBe(true);
  }
});
