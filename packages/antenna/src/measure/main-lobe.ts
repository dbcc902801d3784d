/** Edge of the main lobe along one ray from the peak. */
export interface LobeEdge {
  /** Angle at which the level first rises again after it fell 10 dB; 180: it never does and no side lobe follows. */
  minimumDeg: number;
  /** Angle at which the lobe ends for its efficiency: that minimum, or -20 dB if the level reaches it before. */
  edgeDeg: number;
}

const LOBE_FALL_DB = 10;
const LOBE_END_DB = 20;
/** A smaller rise is rounding in a table, not a lobe. */
const LEAST_RISE_DB = 0.01;

/**
 * Returns the edge of the main lobe on one ray.
 * Source: a definition made here: outward from the peak to the first minimum after a fall of 10 dB, or to -20 dB where
 * there is no such minimum before.
 * @param offDeg angles off the peak, rising, without the peak itself, n.
 * @param levelDbAt level at one of them, relative to the peak: 0 and below. Not called beyond the edge.
 */
export function findLobeEdge(offDeg: Float64Array, levelDbAt: (index: number) => number): LobeEdge {
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
