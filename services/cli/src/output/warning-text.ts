export interface WarningLine {
  code: string;
  pointer: string;
  detail: string;
}

/** One paragraph a warning, however many fields of the request it concerns. */
export function formatWarnings(warnings: readonly WarningLine[]): string[] {
  const pointers = new Map<string, string[]>();
  for (const { code, pointer, detail } of warnings) {
    const text = `! ${code}: ${detail}`;
    pointers.set(text, [...(pointers.get(text) ?? []), pointer]);
  }
  return Array.from(pointers, ([text, at]) => `${text}\n    at ${at.join(", ")}`);
}
