/** What the service answered about a job. */
export interface State {
  id: string;
  state: string;
  progress: number;
  attempt: number;
  error: { code: string; detail: string } | null;
  links: Record<string, string>;
}

export interface Reply<T> {
  status: number;
  headers: Headers;
  body: T;
}

const COVERAGES = "/v1/coverages";

export async function post<T = State>(address: string, body: unknown, jobs = COVERAGES): Promise<Reply<T>> {
  const headers = { "Content-Type": "application/json" };
  const text = typeof body === "string" ? body : JSON.stringify(body);
  const reply = await fetch(`${address}${jobs}`, { method: "POST", headers, body: text });
  return { status: reply.status, headers: reply.headers, body: (await reply.json()) as T };
}

/** Follows the events of a job: every state that came, up to the end of the stream. */
export async function* statesOf(address: string, id: string, jobs = COVERAGES): AsyncGenerator<State> {
  const reply = await fetch(`${address}${jobs}/${id}/events`);
  if (!reply.body) return;
  let pending = "";
  for await (const chunk of reply.body.pipeThrough(new TextDecoderStream())) {
    pending += chunk;
    const blocks = pending.split("\n\n");
    pending = blocks.pop() ?? "";
    for (const block of blocks) {
      const data = /^data: (.*)$/m.exec(block)?.[1];
      if (data !== undefined) yield JSON.parse(data);
    }
  }
}

/** The first state that fits. Throws when the stream ends before. */
export async function stateWhere(
  address: string,
  id: string,
  fits: (state: State) => boolean,
  jobs = COVERAGES,
): Promise<State> {
  for await (const state of statesOf(address, id, jobs)) if (fits(state)) return state;
  throw new Error("the stream ended before such a state");
}

export async function lastState(address: string, id: string, jobs = COVERAGES): Promise<State> {
  let last: State | undefined;
  for await (const state of statesOf(address, id, jobs)) last = state;
  if (!last) throw new Error("the stream held no state");
  return last;
}
