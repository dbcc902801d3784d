import { type Area, findAreaOfUse } from "./projection-text.ts";

/** Name of a reference system: an EPSG code of the allow-list, or a projection in words (`formatProjection`). */
export type CrsId = number | string;

export type CrsDefinition =
  | { kind: "geographic" }
  | { kind: "web-mercator" }
  | { kind: "projected"; proj: string; area: Area };

/** Half-width in longitude of the area in which a transverse Mercator system is used, far beyond its own zone. */
const UTM_REACH_DEG = 30;

/** Systems outside a family. Parameters: EPSG Geodetic Parameter Dataset, entry of the same code. */
const SINGLE: Record<number, CrsDefinition> = {
  4326: { kind: "geographic" },
  4269: { kind: "geographic" },
  4258: { kind: "geographic" },
  3857: { kind: "web-mercator" },
  // NAD83 / Vermont, in metres and in US survey feet (1200/3937 m).
  32145: {
    kind: "projected",
    proj: "+proj=tmerc +lat_0=42.5 +lon_0=-72.5 +k=0.999964286 +x_0=500000 +y_0=0 +ellps=GRS80 +units=m",
    area: [-78, 39, -67, 49],
  },
  5646: {
    kind: "projected",
    proj: "+proj=tmerc +lat_0=42.5 +lon_0=-72.5 +k=0.999964286 +x_0=500000.00001016 +y_0=0 +ellps=GRS80 +units=us-ft",
    area: [-78, 39, -67, 49],
  },
  // NAD83 / Conus Albers and ETRS89 / LAEA Europe: those of the land cover of the United States and of Europe.
  5070: {
    kind: "projected",
    proj: "+proj=aea +lat_0=23 +lon_0=-96 +lat_1=29.5 +lat_2=45.5 +x_0=0 +y_0=0 +ellps=GRS80 +units=m",
    area: [-186, -15, -6, 85],
  },
  3035: {
    kind: "projected",
    proj: "+proj=laea +lat_0=52 +lon_0=10 +x_0=4321000 +y_0=3210000 +ellps=GRS80 +units=m",
    area: [-50, 15, 70, 85],
  },
  // OSGB36 / British National Grid by the seven-parameter shift EPSG:1314 (about 2 m); no grid file is used.
  27700: {
    kind: "projected",
    proj:
      "+proj=tmerc +lat_0=49 +lon_0=-2 +k=0.9996012717 +x_0=400000 +y_0=-100000 +ellps=airy +units=m " +
      "+towgs84=446.448,-125.157,542.06,0.15,0.247,0.842,-20.489",
    area: [-12, 47, 6, 63],
  },
};

/** UTM families: code = first + zone. */
const UTM = [
  { first: 32600, zones: [1, 60], shape: "+ellps=WGS84", south: false },
  { first: 32700, zones: [1, 60], shape: "+ellps=WGS84", south: true },
  { first: 25800, zones: [28, 38], shape: "+ellps=GRS80", south: false },
  { first: 26900, zones: [1, 23], shape: "+ellps=GRS80", south: false },
] as const;

/** Returns the definition of a named reference system; undefined for a code that is not in the allow-list. */
export function findDefinition(id: CrsId): CrsDefinition | undefined {
  return typeof id === "string" ? { kind: "projected", proj: id, area: findAreaOfUse(id) } : findDefinitionOfCode(id);
}

function findDefinitionOfCode(epsg: number): CrsDefinition | undefined {
  if (Object.hasOwn(SINGLE, epsg)) return SINGLE[epsg];
  const family = UTM.find(({ first, zones }) => epsg >= first + zones[0] && epsg <= first + zones[1]);
  if (!family || !Number.isInteger(epsg)) return undefined;
  const zone = epsg - family.first;
  const meridian = 6 * zone - 183;
  return {
    kind: "projected",
    proj: `+proj=utm +zone=${zone} ${family.south ? "+south " : ""}${family.shape} +units=m`,
    area: [meridian - UTM_REACH_DEG, -85, meridian + UTM_REACH_DEG, 85],
  };
}
