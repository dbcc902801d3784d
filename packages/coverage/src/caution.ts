/** Stands on every picture and under every answer. */
export const CAUTION =
  "A prediction, not a promise: survey before you sell or climb. Check local rules, licences and radio exposure limits.";
