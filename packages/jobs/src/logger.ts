type Log = (fields: object, message: string) => void;

/** The part of a logger that workers use. */
export interface Logger {
  info: Log;
  warn: Log;
  error: Log;
}

export const silentLogger: Logger = { info: () => {}, warn: () => {}, error: () => {} };
