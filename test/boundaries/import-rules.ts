import { posix } from "node:path";
import type { Import, Unit } from "./workspace.ts";

/** The packages, lowest first: each may import only those that stand before it. */
const PACKAGES_LOWEST_FIRST = [
  "units",
  "geodesy",
  "picture",
  "antenna",
  "propagation",
  "calibration",
  "terrain",
  "radio",
  "network",
  "sweep",
  "coverage",
  "answers",
  "tiers",
  "layers",
  "ledger",
  "premises",
  "compute",
  "jobs",
  "island",
  "testkit",
];

/** The one door (or two) of each heavy library. */
const DOORS: Record<string, string[]> = {
  geotiff: ["packages/terrain"],
  yauzl: ["packages/terrain"],
  fzstd: ["packages/terrain"],
  "@turf/boolean-point-in-polygon": ["packages/tiers"],
  "@turf/difference": ["packages/tiers"],
  "@turf/helpers": ["packages/tiers"],
  "@turf/union": ["packages/tiers"],
  "@maplibre/vt-pbf": ["packages/layers"],
  commander: ["services/cli"],
  "@napi-rs/canvas": ["packages/picture"],
  proj4: ["packages/geodesy"],
  "geographiclib-geodesic": ["packages/geodesy"],
  bullmq: ["packages/jobs"],
  ioredis: ["packages/jobs"],
  flatbush: ["packages/premises"],
  geoflatbush: ["packages/premises"],
  kysely: ["packages/ledger"],
  "@photostructure/sqlite": ["packages/ledger"],
  "node:sqlite": ["packages/ledger"],
  express: ["services/api"],
  zod: ["packages/network", "services/api"],
};

/** Libraries that are chosen and pinned, and whose first import is still to come; each leaves this list with it. */
const AWAITING_FIRST_IMPORT = ["commander"];

const SCOPE = "@fellmark/";
const TESTKIT = "@fellmark/testkit";

/** Every breach of the import table by one package or service, in words. `rootTools` are the root's devDependencies. */
export function breachesOf(unit: Unit, rootTools: string[]): string[] {
  return [
    ...unit.imports.flatMap((one) => breachOfImport(unit, one, rootTools)),
    ...unit.dependencies.flatMap((name) => breachOfArrow(unit.folder, name, `${unit.folder}/package.json`)),
    ...unusedDependencies(unit),
    ...wrongReferences(unit),
  ];
}

function breachOfImport(unit: Unit, { file, specifier, fromTest }: Import, rootTools: string[]): string[] {
  if (specifier.startsWith(".")) {
    const target = posix.normalize(posix.join(posix.dirname(file), specifier));
    return target.startsWith(`${unit.folder}/`) ? [] : [`${file} reaches out of its package to ${target}`];
  }
  const name = packageOf(specifier);
  if (name.startsWith(SCOPE) && name !== specifier) return [`${file} reaches past the door of ${name}: ${specifier}`];
  if (fromTest && rootTools.includes(name)) return [];
  if (name === TESTKIT) return [`${file} imports ${TESTKIT}, which is for tests`];
  const doors = DOORS[name];
  if (doors && !fromTest && !doors.includes(unit.folder)) return [`${file} imports ${name}, whose door is ${doors}`];
  if (specifier.startsWith("node:")) return [];
  const declared = fromTest ? unit.dependencies.concat(unit.devDependencies) : unit.dependencies;
  const isDeclared = declared.includes(name) || unit.devDependencies.includes(`@types/${name}`);
  const undeclared = isDeclared ? [] : [`${file} imports ${name}, which package.json does not declare`];
  return undeclared.concat(breachOfArrow(unit.folder, name, file));
}

/** Arrows go down the table only, so there can be no cycle; a service is above every package and below nothing. */
function breachOfArrow(folder: string, name: string, where: string): string[] {
  if (!name.startsWith(SCOPE)) return [];
  const [group, own] = folder.split("/");
  const target = PACKAGES_LOWEST_FIRST.indexOf(name.slice(SCOPE.length));
  if (target === -1) return [`${where}: ${name} is a service or unknown; only packages may be imported`];
  if (group === "services") return [];
  return target < PACKAGES_LOWEST_FIRST.indexOf(own) ? [] : [`${where}: ${own} may not import ${name}`];
}

function unusedDependencies({ folder, dependencies, devDependencies, imports }: Unit): string[] {
  const used = new Set(imports.filter(({ fromTest }) => !fromTest).map(({ specifier }) => packageOf(specifier)));
  const usedByTests = new Set(imports.map(({ specifier }) => packageOf(specifier)));
  return [
    ...dependencies.filter((name) => !used.has(name) && !isAwaited(folder, name)),
    ...devDependencies.filter((name) => !usedByTests.has(name.replace("@types/", ""))),
  ].map((name) => `${folder}/package.json declares ${name}, which nothing imports`);
}

function isAwaited(folder: string, name: string): boolean {
  return AWAITING_FIRST_IMPORT.includes(name) && DOORS[name].includes(folder);
}

/** The compiler must build exactly the packages that are declared. */
function wrongReferences({ folder, dependencies, references }: Unit): string[] {
  const declared = dependencies.filter((name) => name.startsWith(SCOPE)).map((name) => name.slice(SCOPE.length));
  const file = `${folder}/tsconfig.json`;
  return [
    ...declared.filter((name) => !references.includes(name)).map((name) => `${file} lacks a reference to ${name}`),
    ...references.filter((name) => !declared.includes(name)).map((name) => `${file} refers to ${name}, undeclared`),
  ];
}

/** `@scope/name/path` and `name/path` without the path. */
function packageOf(specifier: string): string {
  return specifier
    .split("/")
    .slice(0, specifier.startsWith("@") ? 2 : 1)
    .join("/");
}
