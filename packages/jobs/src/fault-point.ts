import { FellmarkError, InputError } from "@fellmark/units";

/** Places in the life of a job where tests break it on purpose. */
export type FaultPoint = "after-begin" | "before-publish" | "after-publish";

/** Called each time the work comes by. */
export type ReachFaultPoint = (point: FaultPoint) => void;

const POINTS = ["after-begin", "before-publish", "after-publish"];
const ACTIONS: Readonly<Record<string, () => void>> = {
  kill: () => process.kill(process.pid, "SIGKILL"),
  stop: () => process.kill(process.pid, "SIGSTOP"),
  raise: () => {
    throw new FellmarkError("internal_error", "raised at a fault point");
  },
};

/**
 * The fault that `name:n` or `name:n:action` asks for: at the n-th time at that point the process is killed (`kill`, the
 * default), stopped (`stop`), or an error is raised (`raise`). Without text nothing ever happens.
 * Throws InputError for text of another form.
 */
export function toFaultPoint(text: string | undefined): ReachFaultPoint {
  if (text === undefined) return () => {};
  const [name = "", count = "", action = "kill"] = text.split(":");
  const act = Object.hasOwn(ACTIONS, action) ? ACTIONS[action] : undefined;
  if (!POINTS.includes(name) || !/^[1-9]\d*$/.test(count) || !act) {
    throw new InputError([
      { pointer: "FAULT_POINT", detail: `"${text}" is not a fault`, limit: "name:n[:kill|stop|raise]" },
    ]);
  }
  let left = Number(count);
  return (point) => {
    if (point === name && --left === 0) act();
  };
}
