/** One address with its point, as it is kept. */
export interface PremisesRecord {
  /** Unique within the tenant; stays the same over imports. */
  id: string;
  address: string;
  /** The address as its words are searched for: separated by spaces. */
  words: string;
  /** Degrees, WGS84. */
  lon: number;
  lat: number;
  /** Largest error of the point, metres; null where the source does not say. */
  qualityM: number | null;
}

/** Differences between a list and the one that it replaced. */
export interface PremisesChange {
  added: number;
  /** Of the same id, but with another address, point or quality. */
  changed: number;
  same: number;
  removed: number;
}

export interface PremisesState {
  /** 'p' + SHA-256 of all records in their order: equal lists have the same. */
  version: string;
  count: number;
}

/** The points of all premises, in the order of their positions, for an index to be made of them. */
export interface PremisesPoints {
  lon: readonly number[];
  lat: readonly number[];
}

/** A list that is being written under another name: nobody sees it before `publish`. Positions count from 0. */
export interface PremisesWriter {
  /** False for a record whose id was there before: that record is not taken. */
  add(record: PremisesRecord): boolean;
  /** Takes over every record of the present list whose id was not added. */
  keepOthers(): void;
  /** Builds the indexes and puts the list in the place of the present one, whole. `pointIndex` is kept as it is. */
  publish(pointIndex: (points: PremisesPoints) => Uint8Array): Promise<PremisesState & PremisesChange>;
  /** Removes what was written; after `publish` it does nothing. */
  discard(): Promise<void>;
}

/** A word that occurs in addresses, and how often. */
export interface PremisesWord {
  word: string;
  count: number;
}

/** An open list. It stays as it was when it was opened, also when another takes its place. */
export interface PremisesReader extends PremisesState {
  /** True while the list is the present one. */
  isCurrent(): boolean;
  /** Every word without a digit. */
  listWords(): PremisesWord[];
  readPointIndex(): Uint8Array;
  /** Up to `limit` records that a full-text query finds, in the order of their positions. Source: sqlite.org/fts5.html, 3. */
  findMatching(query: string, limit: number): PremisesRecord[];
  findById(id: string): PremisesRecord | undefined;
  readAt(position: number): PremisesRecord;
  close(): void;
}
