/** Speed of light in vacuum, m/s. Source: SI (2019), exact. */
export const SPEED_OF_LIGHT_M_S = 299_792_458;

/** Boltzmann constant, J/K. Source: SI (2019), exact. */
export const BOLTZMANN_J_K = 1.380649e-23;

/** Reference noise temperature, K. Source: IEEE standard noise temperature; ITU-R P.372-16 section 2. */
export const REFERENCE_TEMPERATURE_K = 290;

/** Mean Earth radius used by the diffraction methods, km. Source: ITU-R P.1812-6 eq (7a). */
export const MEAN_EARTH_RADIUS_KM = 6371;

/** Returns the wavelength in vacuum. Example: 5.8 GHz: 0.051688 m. */
export function computeWavelengthM(frequencyGhz: number): number {
  return SPEED_OF_LIGHT_M_S / (frequencyGhz * 1e9);
}
