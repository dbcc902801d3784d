import { integrate } from "@fellmark/antenna";
import { computeWavelengthM, RAD_PER_DEG, toDb } from "@fellmark/units";

/** Gain of a half-wave dipole over isotropic, as the regulations round it. Source: ITU Radio Regulations 1.161, 1.162. */
const HALF_WAVE_DIPOLE_DB = 2.15;

/**
 * Directivity of a thin dipole of any length with a sinusoidal current, linear.
 * Source: C. A. Balanis, Antenna Theory, 4.2 (length 0: 1.5) and 4.6 (half a wavelength: 1.641).
 * @param lengthWavelengths 0 stands for a dipole that is short against the wavelength.
 */
export function computeDipoleDirectivity(lengthWavelengths: number): number {
  const half = Math.PI * lengthWavelengths;
  const intensity = (theta: number): number => {
    const sine = Math.sin(theta);
    if (lengthWavelengths === 0) return sine ** 2;
    return sine < 1e-9 ? 0 : ((Math.cos(half * Math.cos(theta)) - Math.cos(half)) / sine) ** 2;
  };
  const mean = integrate((theta) => intensity(theta) * Math.sin(theta), 0, Math.PI, 500) / 2;
  return intensity(Math.PI / 2) / mean;
}

/** Directivity of cos^n of the angle off boresight, nothing behind, linear: 2 (n + 1). Source: Balanis, chapter 2. */
export function computeCosinePowerDirectivity(power: number): number {
  return 2 * (power + 1);
}

/**
 * Beam efficiency of that pattern within a cone: share of the power less than `coneDeg` off boresight.
 * Source: IEEE Std 145 (beam efficiency). Example: n = 2, 60 degrees: 0.875.
 */
export function computeCosinePowerBeamEfficiency(power: number, coneDeg: number): number {
  return 1 - Math.cos(coneDeg * RAD_PER_DEG) ** (power + 1);
}

/** Share of the sphere within a cone, the beam efficiency of an isotropic antenna. Example: 10 degrees: 0.0075961. */
export function computeConeShare(coneDeg: number): number {
  return (1 - Math.cos(coneDeg * RAD_PER_DEG)) / 2;
}

/** Directivities from half-power widths, dBi. All are rules of thumb; that of Kraus is the greatest. */
export interface WidthDirectivities {
  /** 41253 over the product of the widths. Source: J. D. Kraus; no loss, no side lobes. */
  krausDbi: number;
  /** 72815 over the sum of the squares. Source: C. T. Tai, C. S. Pereira, 1976; for beams that are nearly round. */
  taiPereiraDbi: number;
  /** 31000 over the product. Source: ITU-R F.1336-5, recommends 3.3. */
  f1336Dbi: number;
  /** 26000 over the product. Source: W. L. Stutzman, G. A. Thiele. */
  stutzmanDbi: number;
}

/** Example: 10 by 10 degrees: 26.155, 25.612, 24.914, 24.150 dBi. */
export function estimateDirectivity(widthDeg: number, otherWidthDeg: number): WidthDirectivities {
  const product = widthDeg * otherWidthDeg;
  return {
    krausDbi: toDb(41_253 / product),
    taiPereiraDbi: toDb(72_815 / (widthDeg ** 2 + otherWidthDeg ** 2)),
    f1336Dbi: toDb(31_000 / product),
    stutzmanDbi: toDb(26_000 / product),
  };
}

/** Gain of a round aperture of a given efficiency, dBi. Example: 0.6 m, 5.8 GHz, 0.6: 29.020 dBi. */
export function computeApertureGainDbi(diameterM: number, frequencyGhz: number, efficiency: number): number {
  return toDb(efficiency * ((Math.PI * diameterM) / computeWavelengthM(frequencyGhz)) ** 2);
}

/**
 * Gain of the pyramidal horn whose mouth is best for its length, dBi; sides in wavelengths.
 * Source: C. A. Balanis, Antenna Theory, 13.4: efficiency 0.51. Example: 5 by 4: 21.078 dBi.
 */
export function computeOptimumPyramidalHornGainDbi(sideWavelengths: number, otherSideWavelengths: number): number {
  return toDb(0.51 * 4 * Math.PI * sideWavelengths * otherSideWavelengths);
}

/** Distance of the far field, 2 D^2 / wavelength. Source: IEEE Std 149. Example: 0.6 m, 5.8 GHz: 13.930 m. */
export function computeFarFieldDistanceM(sizeM: number, frequencyGhz: number): number {
  return (2 * sizeM ** 2) / computeWavelengthM(frequencyGhz);
}

/** E.i.r.p. of a power that is stated over a half-wave dipole. */
export function convertErpToEirpDbm(erpDbm: number): number {
  return erpDbm + HALF_WAVE_DIPOLE_DB;
}

/** Loss between two linear polarisations at an angle, dB. Source: Balanis, 2.12. Example: 45 degrees: 3.0103 dB. */
export function computePolarisationMismatchDb(angleDeg: number): number {
  return -20 * Math.log10(Math.abs(Math.cos(angleDeg * RAD_PER_DEG)));
}
