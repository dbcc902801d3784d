import type { CheckRow, Got, GotValue } from "./check-inputs.ts";
import { quantityFunction } from "./check-quantities.ts";
import { type FileFormat, isRecord } from "./format.ts";
import type { Outcome } from "./report.ts";

/** Rows of {id, quantity, inputs, expected, tolerance}: each quantity through the function of the product behind it. */
export const checksFile: FileFormat = {
  recognises: ({ json }) => Array.isArray(json) && json.some((row) => isRecord(row) && "quantity" in row),
  *check(file) {
    const rows = file.json as CheckRow[];
    for (const row of rows) {
      const place = { file: file.path, quantity: row.quantity };
      const compute = quantityFunction(row.quantity);
      if (compute) yield* computeAndCompare(place, row, () => compute(row.inputs, rows));
      else yield { ...place, n: 1, reason: "the product has no function for it yet" };
    }
  },
};

interface Place {
  file: string;
  quantity: string;
}

/** Values of the file are printed to nine significant digits. */
const PRINTED_DIGITS = 9;

/** What a row allows, but never less than half a unit of the last digit that its value is printed with. */
function allowed(expected: number, tolerance: number): number {
  if (expected === 0) return tolerance;
  const leadingPlace = Math.floor(Math.log10(Math.abs(expected)));
  return Math.max(tolerance, 0.5 * 10 ** (leadingPlace + 1 - PRINTED_DIGITS));
}

/** A function of the product that throws fails the row; the error stands in its id. */
function* computeAndCompare(place: Place, row: CheckRow, compute: () => Got): Iterable<Outcome> {
  try {
    yield* compare(place, row, compute());
  } catch (error) {
    const id = `${row.id}: ${(error as Error).message}`;
    yield { ...place, id, expected: Number.NaN, got: Number.NaN, tolerance: row.tolerance };
  }
}

function* compare(place: Place, row: CheckRow, got: Got): Iterable<Outcome> {
  if (typeof row.tolerance !== "number") yield { ...place, n: 1, reason: "the row has no tolerance" };
  else if (typeof row.expected === "number" && typeof got === "number") {
    const tolerance = allowed(row.expected, row.tolerance);
    yield { ...place, id: row.id, expected: row.expected, got, tolerance };
  } else if (typeof row.expected === "object" && row.expected !== null && typeof got === "object") {
    const given: Readonly<Record<string, GotValue>> = Object.fromEntries(Object.entries(got));
    // Lists within a list, as [[1, 3], "form"], are read in one order.
    const wanted = Array.isArray(row.expected) ? row.expected.flat() : row.expected;
    for (const [name, expected] of Object.entries(wanted)) {
      yield* compareNamed(`${place.quantity}: ${name}`, place.file, row, expected, given[name]);
    }
  } else yield { ...place, n: 1, reason: "what is expected has a form that is not known" };
}

function* compareNamed(
  quantity: string,
  file: string,
  { id, tolerance }: CheckRow,
  expected: unknown,
  got: GotValue | undefined,
): Iterable<Outcome> {
  if (typeof expected === "number" && typeof got === "number") {
    yield { file, quantity, id, expected, got, tolerance: allowed(expected, tolerance) };
  } else if (expected === null && got !== undefined) {
    yield { file, quantity, id, expected: 1, got: got === null ? 1 : 0, tolerance: 0 };
  } else if (typeof expected === "string" && typeof got === "string") {
    yield { file, quantity, id, expected: 1, got: got === expected ? 1 : 0, tolerance: 0 };
  } else yield { file, quantity, n: 1, reason: "the product does not give this value" };
}
