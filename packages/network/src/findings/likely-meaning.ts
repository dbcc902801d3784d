const M_PER_FOOT = 0.3048;
const EARTH_RADIUS_KM = 6371;

/** A rule for one kind of slip: the corrected value with its reason, or undefined where the slip is another. */
type Guess = (value: number) => string | undefined;

const share: Guess = (value) => (value > 1 && value <= 100 ? `if it is in percent, write ${value / 100}` : undefined);

const loss: Guess = (value) => (value < 0 ? `losses are positive numbers: write ${-value}` : undefined);

const milliwatts: Guess = (value) =>
  value > 40 ? `if it is in milliwatts, write ${round(10 * Math.log10(value))}` : undefined;

const PROJECTED = "it looks like metres of a projected system: convert to degrees, WGS84";

function guessLongitude(value: number): string | undefined {
  if (Math.abs(value) > 1000) return PROJECTED;
  return value > 180 && value <= 360 ? `if it counts from 0 to 360, write ${round(value - 360)}` : undefined;
}

function guessLatitude(value: number): string | undefined {
  if (Math.abs(value) > 1000) return PROJECTED;
  return Math.abs(value) <= 180 ? "longitude and latitude may be swapped" : undefined;
}

/** Frequencies that a request may have, MHz. */
const LOWEST_MHZ = 700;
const HIGHEST_MHZ = 86_000;

function isFrequency(mhz: number): boolean {
  return mhz >= LOWEST_MHZ && mhz <= HIGHEST_MHZ;
}

/** Channel numbers count in 5 MHz from 5000 MHz. Source: IEEE Std 802.11-2020, 17.3.8.4.2, channels 36 to 177. */
function guessFrequency(value: number): string | undefined {
  const guesses = [
    ...(Number.isInteger(value) && value >= 36 && value <= 177
      ? [`if it is a channel number of the 5 GHz band, write ${5000 + 5 * value}`]
      : []),
    ...(isFrequency(value * 1000) ? [`if it is in GHz, write ${round(value * 1000)}`] : []),
    ...(isFrequency(value / 1000) ? [`if it is in kHz, write ${round(value / 1000)}`] : []),
    ...(isFrequency(value / 1e6) && value > 1e8 ? [`if it is in Hz, write ${round(value / 1e6)}`] : []),
  ];
  return guesses.length > 0 ? guesses.join("; ") : undefined;
}

function guessWidth(value: number): string | undefined {
  if (value > 0 && value < 1) return `if it is in GHz, write ${round(value * 1000)}`;
  return value >= 5000 ? `if it is in kHz, write ${round(value / 1000)}` : undefined;
}

function guessAzimuth(value: number): string {
  return `azimuths count from 0 to below 360: write ${round(((value % 360) + 360) % 360)}`;
}

/** Guesses by the name of the field, for numbers that the field refuses. */
const GUESSES: Readonly<Record<string, Guess>> = {
  lon: guessLongitude,
  lat: guessLatitude,
  centreMhz: guessFrequency,
  widthMhz: guessWidth,
  azimuthDeg: guessAzimuth,
  downtiltDeg: (value) => (Math.abs(value) <= 300 ? `if it is in tenths of a degree, write ${value / 10}` : undefined),
  powerDbm: milliwatts,
  eirpDbm: milliwatts,
  gainDbi: (value) => (value > 60 ? `if it is a factor, write ${round(10 * Math.log10(value))}` : undefined),
  heightAglM: (value) => (value > 0 ? `if it is in feet, write ${round(value * M_PER_FOOT)}` : undefined),
  maxHeightAglM: (value) => (value > 0 ? `if it is in feet, write ${round(value * M_PER_FOOT)}` : undefined),
  radiusM: (value) => (value > 0 && value < 100 ? `if it is in km, write ${value * 1000}` : undefined),
  downMbps: (value) => (value > 10_000 ? `if it is in kbit/s, write ${value / 1000}` : undefined),
  upMbps: (value) => (value > 10_000 ? `if it is in kbit/s, write ${value / 1000}` : undefined),
  earthRadiusFactor: (value) =>
    value > 1000 ? `if it is a radius in km, write ${round(value / EARTH_RADIUS_KM)}` : undefined,
  feederLossDb: loss,
  connectorLossDb: loss,
  pointingLossDb: loss,
  noiseFigureDb: loss,
  implementationDb: loss,
  isolationDb: loss,
  load: share,
  activity: share,
  availability: share,
  confidence: share,
  downShare: share,
  macEfficiency: share,
  locationShare: share,
};

/**
 * Returns the likely meaning of a value that its field refuses, with what to write instead; undefined where none is known.
 * @example guessMeaning("centreMhz", 5.6) // "if it is in GHz, write 5600"
 */
export function guessMeaning(field: string, value: unknown): string | undefined {
  if (typeof value === "string") return guessText(field, value.trim());
  return typeof value === "number" && Object.hasOwn(GUESSES, field) ? GUESSES[field](value) : undefined;
}

/** A number with its unit, in quotes, with a decimal comma, or in degrees, minutes and seconds. */
function guessText(field: string, text: string): string | undefined {
  if (
    !/(?:M|Dbm|Db|Dbi|Mhz|Deg|Mbps|Share|Us|Ms)$|^(?:lon|lat|load|zoom|version|streams|chains|activity)$/.test(field)
  ) {
    return undefined;
  }
  if (/^-?\d+(?:\.\d+)?$/.test(text)) return `write the number without quotes: ${Number(text)}`;
  if (/^-?\d+,\d+$/.test(text))
    return `write the number without quotes, with a decimal point: ${text.replace(",", ".")}`;
  const feet = /^(\d+(?:\.\d+)?) ?(?:ft|feet|')$/i.exec(text);
  if (feet) return `write the number in metres, without a unit: ${round(Number(feet[1]) * M_PER_FOOT)}`;
  const unit = /^(-?\d+(?:\.\d+)?) ?(?:m|dbm|dbi|db|mhz|deg|°|mbps|mbit\/s)$/i.exec(text);
  if (unit) return `write the number without a unit: ${Number(unit[1])}`;
  return guessSexagesimal(text);
}

function guessSexagesimal(text: string): string | undefined {
  const parts = /^(-?)(\d{1,3})[°d: ] ?(\d{1,2})['′m: ] ?(\d{1,2}(?:\.\d+)?)["″s]? ?([NSEW]?)$/i.exec(text);
  if (!parts) return undefined;
  const [, minus, degrees, minutes, seconds, letter] = parts;
  const sign = minus === "-" || /[SW]/i.test(letter) ? -1 : 1;
  const value = sign * (Number(degrees) + Number(minutes) / 60 + Number(seconds) / 3600);
  return `write decimal degrees, without quotes: ${value.toFixed(6)}`;
}

/** Up to six digits behind the point. */
function round(value: number): number {
  return Number(value.toFixed(6));
}
