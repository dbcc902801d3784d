/** State of the trees: with leaves or without them. */
export type Foliage = "leaf-on" | "leaf-off";
