/** Event streams that are open at a time; each holds a connection. */
export const STREAMS = { total: 500, perCaller: 20 };
