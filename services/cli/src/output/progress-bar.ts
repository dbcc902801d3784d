import cliProgress from "cli-progress";
import { stripControls } from "./print.ts";

/** Time between two lines where stderr is not a terminal; work that ends earlier prints its last line only. */
const LINE_EVERY_MS = 2000;

export interface ProgressBar {
  /** `share` is 0 to 1. */
  update(share: number, stage: string): void;
  stop(): void;
}

/**
 * Starts a bar on stderr, which only rises. Where stderr is not a terminal it is a line every two seconds, and none for
 * work that fails at once; none at all with `onTerminalOnly`, for short work.
 */
export function startProgressBar(title: string, { onTerminalOnly = false } = {}): ProgressBar {
  if (onTerminalOnly && !process.stderr.isTTY) return createSilentProgress();
  const bar = createBar(title);
  let percent = 0;
  let stage = "";
  const start = () => bar.start(100, percent, { stage });
  const firstLine = setTimeout(start, process.stderr.isTTY ? 0 : LINE_EVERY_MS);
  return {
    update: (share, name) => {
      percent = Math.max(percent, Math.floor(share * 100));
      stage = stripControls(name);
      bar.update(percent, { stage });
    },
    stop: () => {
      clearTimeout(firstLine);
      if (!bar.isActive && percent === 100) start();
      bar.stop();
    },
  };
}

function createBar(title: string): cliProgress.SingleBar {
  return new cliProgress.SingleBar({
    format: `${title} {bar} {percentage} % {duration_formatted} {stage}`,
    barCompleteChar: "=",
    barIncompleteChar: "-",
    stream: process.stderr,
    noTTYOutput: true,
    notTTYSchedule: LINE_EVERY_MS,
    hideCursor: true,
  });
}

/** Draws nothing. */
export function createSilentProgress(): ProgressBar {
  return { update: () => undefined, stop: () => undefined };
}
