/** One cut of an invented file, a point every 5 degrees. */
export interface WrittenCut {
  name: string;
  polarisation: string;
  fromDeg: number;
  toDeg: number;
  level(angleDeg: number): number;
}

const STEP_DEG = 5;

function writeCut({ name, polarisation, fromDeg, toDeg, level }: WrittenCut): string[] {
  const count = (toDeg - fromDeg) / STEP_DEG + 1;
  const points = Array.from({ length: count }, (_, index) => {
    const angleDeg = fromDeg + STEP_DEG * index;
    return `${angleDeg.toFixed(3)},${level(angleDeg).toFixed(3)},`;
  });
  const ends = `${fromDeg.toFixed(3)},${toDeg.toFixed(3)}`;
  return [`PATCUT:,${name}`, `POLARI:,${polarisation}`, `NUPOIN:,${count}`, `FSTLST:,${ends}`, ...points];
}

/** An exchange text whose line 7 is the units and line 8 the middle gain; its first cut begins at line 14. */
export function writeExchangeFile(
  frequencies: { mhz: number; cuts: WrittenCut[] }[],
  { units = "DBI/DBR", tilt = "0.0,0.5", gainDbi = 9 } = {},
): string {
  const lines = [
    "REVNUM:,NSMA WG16.99.050",
    "REVDAT:,19990520",
    "ANTMAN:,Invented",
    "MODNUM:,TEST",
    "LOWFRQ:,5150.000",
    "HGHFRQ:,5850.000",
    `GUNITS:,${units}`,
    `MDGAIN:,${gainDbi.toFixed(1)},0.5`,
    `ELTILT:,${tilt}`,
    "PATTYP:,typical",
    `NOFREQ:,${frequencies.length}`,
    ...frequencies.flatMap(({ mhz, cuts: list }) => [
      `PATFRE:,${mhz.toFixed(3)}`,
      `NUMCUT:,${list.length}`,
      ...list.flatMap(writeCut),
    ]),
    "ENDFIL:,EOF",
  ];
  return `${lines.join("\n")}\n`;
}
