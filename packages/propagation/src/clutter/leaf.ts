/** State of the trees: with leaves ("in") or without them ("out"). */
export type Leaf = "in" | "out";
