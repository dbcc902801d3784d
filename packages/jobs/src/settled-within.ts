/** Returns true when the promise settles, either way, within the time. Never rejects. */
export async function waitUntilSettled(promise: Promise<unknown>, timeoutMs: number): Promise<boolean> {
  let timer: NodeJS.Timeout | undefined;
  const timeout = new Promise<false>((resolve) => {
    timer = setTimeout(() => resolve(false), timeoutMs);
  });
  const settled = promise.then(
    () => true,
    () => true,
  );
  const inTime = await Promise.race([settled, timeout]);
  clearTimeout(timer);
  return inTime;
}
