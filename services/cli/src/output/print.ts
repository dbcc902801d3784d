/** Prints to stdout, without the control characters that texts of others may hold and that would steer a terminal. */
export function printText(text: string): void {
  process.stdout.write(`${stripControls(text)}\n`);
}

/** Replaces every control character but the line feed. */
export function stripControls(text: string): string {
  return text.replace(/(?!\n)\p{C}/gu, "\ufffd");
}
