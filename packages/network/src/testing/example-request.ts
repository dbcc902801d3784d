/**
 * A request with every field that there is, all values stated.
 * A fresh copy each time: change it with `createChangedError`.
 */
export function createExampleRequest(): Record<string, unknown> {
  return JSON.parse(EXAMPLE);
}

const EXAMPLE = `
{"version":1,"name":"north ridge","area":{"radiusM":20000,"cellM":30},"quality":"accurate",
"terrain":{"sets":["default"],"fillVoids":false},
"model":{"earthRadiusFactor":1.3333333,"gas":true,"availability":0.999,"confidence":0.9,"clutter":{"class":"unknown"}},
"sites":[{"id":"s1","lon":-76.7488,"lat":40.7763}],
"antennas":[{"id":"a1","kind":"isotropic","gainDbi":16},{"id":"a2","kind":"tr38901"},{"id":"a3","kind":"cuts","gainDbi":16,
"horizontal":[[0,0],[90,-20],[180,-30],[270,-20]],"vertical":[[-90,-30],[-10,-12],[0,0],[10,-12],[90,-30]]}],
"radios":[{"id":"r1","table":"802.11ax","streams":2,"noiseFigureDb":6,"downShare":0.75,"macEfficiency":0.75,"implementationDb":2}],
"sectors":[{"id":"s1-n","site":"s1","antenna":"a2","radio":"r1","heightAglM":30,"azimuthDeg":0,"downtiltDeg":2,
"channel":{"centreMhz":5600,"widthMhz":20},"powerDbm":19,"chains":2,"feederLossDb":0.5,"polarisationBasis":"hv","timingGroup":"g1",
"load":1,"noiseRiseDb":0,"rule":null}],
"cpe":{"heightAglM":6,"maxHeightAglM":12,"antenna":"a1","radio":"r1","powerDbm":19,"chains":2,"feederLossDb":0,"pointingLossDb":1,
"noiseRiseDb":0,"rule":null},
"plans":[{"id":"p100","downMbps":100,"upMbps":20},{"id":"p25","downMbps":25,"upMbps":5}],
"emitters":[],"scans":[],"outputs":["tiers","rasters","png"]}`;

/** The example with some values set, each by its JSON pointer; a missing field is added. */
export function changeExample(values: Record<string, unknown>): Record<string, unknown> {
  const request = createExampleRequest();
  for (const [pointer, value] of Object.entries(values)) {
    const path = pointer.slice(1).split("/");
    const last = path.pop() as string;
    const parent = path.reduce((at, key) => at[key] as Record<string, unknown>, request);
    Object.defineProperty(parent, last, { value, enumerable: true, configurable: true, writable: true });
  }
  return request;
}
