import { toCanonicalNetwork } from "@fellmark/network";
import { createPlanCache, createThreadPool } from "@fellmark/sweep";
import { createSeededRandom, createTempDir } from "@fellmark/testkit";
import { afterAll, beforeAll, expect, test } from "vitest";
import { createAnsweringNetworks } from "./answering-networks.ts";
import { buildLargeNetwork } from "./testing/large-network.ts";
import { writeTile } from "./testing/small-world.ts";

const folder = createTempDir();
const pool = createThreadPool(1);
beforeAll(() => writeTile(folder.path));
afterAll(async () => {
  await pool.close();
  folder.remove();
});

test("one opening of a network serves every radius up to the next of 15, 30 and 60 km", async () => {
  let openings = 0;
  const networks = createAnsweringNetworks(async () => {
    openings++;
    return { pool, plans: createPlanCache(1e6) };
  });
  const kept = toCanonicalNetwork(buildLargeNetwork(6, createSeededRandom(7)));
  const [site] = JSON.parse(kept.document).sites;
  const at = { lon: site.lon, lat: site.lat + 0.05 };
  const ask = async (radiusM: number) => {
    const { network } = await networks.open({ ...kept, radiusM }, folder.path);
    return network.ask(at, { links: 100 });
  };
  const near = await ask(3000);
  expect(near.verdict).toBe("not-serviceable");
  expect(near.reason).toContain("3.0 km");
  const answers = [await ask(6000), await ask(8000.5), await ask(15_000)];
  for (const { links } of answers) expect(links.length).toBeGreaterThan(0);
  expect(openings).toBe(1);
  await ask(16_000);
  expect(openings).toBe(2);
});
