import { writeFile } from "node:fs/promises";

/** An invented address with its point. */
export interface InventedAddress {
  id: string;
  house: number;
  street: string;
  town: string;
  postcode: string;
  lon: number;
  lat: number;
}

const SYLLABLES = "bar ten mol ras ven dor kel lin mar ost pel quin sto tha ul wen yar zel cor fen".split(" ");
const KINDS = ["Street", "Road", "Lane", "Avenue", "Drive", "Row"];
const STREETS = 5000;
const TOWNS = 200;

/** Addresses over one degree, in towns whose streets have names of our own invention. No two are alike. */
export function inventAddresses(count: number, random: () => number): InventedAddress[] {
  const pick = <T>(list: readonly T[]) => list[Math.floor(random() * list.length)];
  const name = () => capital(Array.from({ length: random() < 0.5 ? 2 : 3 }, () => pick(SYLLABLES)).join(""));
  const streets = Array.from({ length: STREETS }, () => `${name()} ${pick(KINDS)}`);
  const towns = Array.from({ length: TOWNS }, (_, index) => ({ town: name(), postcode: String(10_000 + 7 * index) }));
  const addresses = new Map<string, InventedAddress>();
  while (addresses.size < count) {
    const house = 1 + Math.floor(300 * random());
    const street = pick(streets);
    const { town, postcode } = pick(towns);
    const key = `${house} ${street} ${town}`.toLowerCase();
    if (addresses.has(key)) continue;
    const point = { lon: rounded(-72 + random()), lat: rounded(44 + random()) };
    addresses.set(key, { id: `p${addresses.size}`, house, street, town, postcode, ...point });
  }
  return [...addresses.values()];
}

function capital(word: string): string {
  return word[0].toUpperCase() + word.slice(1);
}

/** To a ten-millionth of a degree, about a centimetre. */
function rounded(degrees: number): number {
  return Math.round(degrees * 1e7) / 1e7;
}

export function lineOf({ house, street, town, postcode }: InventedAddress): string {
  return `${house} ${street} ${town} ${postcode}`;
}

export async function writeAddresses(file: string, addresses: readonly InventedAddress[]): Promise<void> {
  const lines = addresses.map(({ id, house, street, town, postcode, lon, lat }) => {
    return `${id},${house},${street},${town},${postcode},${lon},${lat}\n`;
  });
  await writeFile(file, `id,house,street,town,postcode,lon,lat\n${lines.join("")}`);
}

/** A letter too few, too many, or wrong, or two neighbours exchanged. */
export function withTypo(word: string, random: () => number): string {
  const at = Math.floor(random() * (word.length - 1));
  const letter = String.fromCharCode(97 + Math.floor(26 * random()));
  const [before, here, after] = [word.slice(0, at), word[at], word.slice(at + 1)];
  return [
    before + after,
    before + letter + here + after,
    before + letter + after,
    before + after[0] + here + after.slice(1),
  ][Math.floor(4 * random())];
}
