import { runCli } from "../run-cli.ts";

export interface CapturedRun {
  code: number;
  stdout: string;
  stderr: string;
}

/** Runs the command line in this process and returns what it prints. */
export async function runCaptured(
  words: string[],
  { callerDir, isTerminal = false }: { callerDir: string; isTerminal?: boolean },
): Promise<CapturedRun> {
  const stdout = captureWrites(process.stdout);
  const stderr = captureWrites(process.stderr);
  try {
    const code = await runCli(words, { callerDir, isTerminal });
    return { code, stdout: stdout.texts.join(""), stderr: stderr.texts.join("") };
  } finally {
    stdout.release();
    stderr.release();
  }
}

function captureWrites(stream: NodeJS.WriteStream): { texts: string[]; release: () => void } {
  const texts: string[] = [];
  const { write } = stream;
  stream.write = (text: string | Uint8Array) => texts.push(String(text)) > 0;
  return {
    texts,
    release: () => {
      stream.write = write;
    },
  };
}
