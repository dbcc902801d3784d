/** Receives the progress of a call, 0..1, and the stage it is in. */
export type ProgressListener = (progress: number, stage: string) => void;
