/** How far the main lobe reaches along one ray from the peak. */
export interface LobeEdge {
  /** Where the level first rises again after it fell 10 dB; 180: it never does, so that no side lobe follows. */
  minimumDeg: number;
  /** Where the lobe ends for its efficiency: at that minimum, or at -20 dB where the level is there before. */
  edgeDeg: number;
}

const LOBE_FALL_DB = 10;
const LOBE_END_DB = 20;
/** A smaller rise is the grain of a table, no lobe. */
const LEAST_RISE_DB = 0.01;

/**
 * The edge of the main lobe on one ray.
 * Source: the definition in use here: outward from the peak to the first minimum after a fall of 10 dB; where there is
 * none before -20 dB, to -20 dB.
 * @param offDeg angles off the peak, rising, without the peak itself, n.
 * @param levelDbAt level at one of them, relative to the peak: 0 and below. Not asked for beyond the edge.
 */
export function lobeEdge(offDeg: Float64Array, levelDbAt: (index: number) => number): LobeEdge {
  let lowest = 0;
  let lowestDeg = 0;
  let endDeg = 180;
  for (let i = 0; i < offDeg.length; i++) {
    const level = levelDbAt(i);
    if (level < lowest) {
      if (level <= -LOBE_END_DB && lowest > -LOBE_END_DB) {
        const share = (lowest + LOBE_END_DB) / (lowest - level);
        endDeg = lowestDeg + share * (offDeg[i] - lowestDeg);
      }
      lowest = level;
      lowestDeg = offDeg[i];
    } else if (lowest < -LOBE_FALL_DB && level > lowest + LEAST_RISE_DB) {
      return { minimumDeg: lowestDeg, edgeDeg: Math.min(lowestDeg, endDeg) };
    }
  }
  return { minimumDeg: 180, edgeDeg: endDeg };
}
