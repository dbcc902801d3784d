/** A published file of a result: name relative to the result, size, SHA-256 in hex. */
export interface ResultFile {
  name: string;
  bytes: number;
  sha256: string;
}
