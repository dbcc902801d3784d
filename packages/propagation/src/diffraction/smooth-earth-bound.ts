/** Factor of the clearance that a smooth Earth asks for: P.1812-6 eq (25), there for km; here for metres. */
export const SMOOTH_CLEARANCE_FACTOR = 17.456 / Math.sqrt(1000);

/** Half of that factor, raised against rounding. */
const HALF_FACTOR = (SMOOTH_CLEARANCE_FACTOR / 2) * 1.00002;

/**
 * Height, m, from which two antennas over a smooth Earth lose nothing to it: no loss where both heights are above 0 and
 * their product is above its square. It is d^2 / (8 a) + 0.276 sqrt(lambda d).
 * Proof: at the share u of the path the line clears the sphere by h1 (1 - u) + h2 u - d^2 u (1 - u) / (2 a), and
 * P.1812-6 eq (25) asks for 0.552 sqrt(lambda d u (1 - u)). With s = sqrt(u (1 - u)) <= 1/2 the first two terms are at
 * least 2 sqrt(h1 h2) s, so 2 sqrt(h1 h2) > d^2 s / (2 a) + 0.552 sqrt(lambda d) at s = 1/2 suffices for every u.
 * Source: ITU-R P.1812-6, section 4.3.2, eqs (23) to (25): the loss is 0 where the clearance is greater.
 * Example: 10 km, 5.8 GHz, 4/3 Earth: 7.746 m.
 */
export function computeFreeHeightM(pathM: number, wavelengthM: number, effectiveEarthRadiusM: number): number {
  return pathM ** 2 / (8 * effectiveEarthRadiusM) + HALF_FACTOR * Math.sqrt(wavelengthM * pathM) + 1e-6;
}

/**
 * True where a smooth Earth may cost something between two antennas at these heights over it, m; where it is false,
 * `computeSphericalEarthLossDb` is 0. @param freeHeightM `computeFreeHeightM` of the path.
 */
export function mayCostSmoothEarth(txHeightM: number, rxHeightM: number, freeHeightM: number): boolean {
  return !(txHeightM > 0 && rxHeightM > 0 && txHeightM * rxHeightM > freeHeightM * freeHeightM);
}
