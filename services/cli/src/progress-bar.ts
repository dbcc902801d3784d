import cliProgress from "cli-progress";

export interface ProgressBar {
  update(share: number, stage: string): void;
  stop(): void;
}

/** A bar on stderr; one line every two seconds where there is no terminal. */
export function startProgressBar(title: string): ProgressBar {
  const bar = new cliProgress.SingleBar({
    format: `${title} {bar} {percentage} % {stage}`,
    barCompleteChar: "=",
    barIncompleteChar: "-",
    stream: process.stderr,
    noTTYOutput: true,
    notTTYSchedule: 2000,
    hideCursor: true,
  });
  bar.start(100, 0, { stage: "" });
  return {
    update: (share, stage) => bar.update(Math.floor(share * 100), { stage }),
    stop: () => bar.stop(),
  };
}
