import { buildRamp, TIER_CLASS, type TierKind, type TierPlan } from "@fellmark/tiers";

type Rgb = ReturnType<typeof buildRamp>[number];

/** Kind of a class: those of the tiers, and "no service", which polygons of tiers leave out. */
export type LayerClassKind = TierKind | "no-service";

/** Eight rows of eight pixels, # where the ink is. */
export type Pattern = readonly string[];

/** One class of a layer and how every form of the layer draws it. */
export interface LayerClass {
  /** Value in the class raster. */
  value: number;
  kind: LayerClassKind;
  plan: TierPlan | null;
  label: string;
  fill: Rgb;
  /** Opacity of the fill, 0 to 1. */
  opacity: number;
  /** Null: the fill alone. */
  pattern: Pattern | null;
  ink: Rgb;
}

/** One hue, slowest plan to fastest: pale to deep blue. Our own choice; lightness falls evenly in OKLab. */
const BLUES: readonly Rgb[] = [
  [206, 224, 242],
  [92, 144, 196],
  [12, 50, 100],
];

const PAPER: Rgb = [255, 255, 255];
const INK: Rgb = [27, 36, 48];
const GREY: Rgb = [120, 120, 120];

const NONE = "........";
const DOTS: Pattern = [NONE, ".##.....", ".##.....", NONE, NONE, ".....##.", ".....##.", NONE];
const LEVEL_LINES: Pattern = [NONE, NONE, "########", NONE, NONE, NONE, NONE, NONE];
const UPRIGHT_LINES: Pattern = Array(8).fill("..#.....");
const GRID: Pattern = ["..#.....", "..#.....", "########", ...Array(5).fill("..#.....")];
const FINE_DOTS: Pattern = ["#...#...", NONE, "..#...#.", NONE, "#...#...", NONE, "..#...#.", NONE];

/** Patterns of plans in turn; the best one is plain. */
const PLAN_PATTERNS: readonly (Pattern | null)[] = [null, DOTS, LEVEL_LINES, GRID, UPRIGHT_LINES, FINE_DOTS];

/** Rising stripes: a survey must come first. */
const STRIPES: Pattern = Array.from({ length: 8 }, (_, row) =>
  Array.from({ length: 8 }, (_, column) => ((row + column) % 8 < 3 ? "#" : ".")).join(""),
);

/** Falling and rising lines: not known. */
const CROSSES: Pattern = Array.from({ length: 8 }, (_, row) =>
  Array.from({ length: 8 }, (_, column) => ((row + column) % 8 === 0 || (row - column + 8) % 8 === 0 ? "#" : ".")).join(
    "",
  ),
);

/** Every class that a layer of these plans can hold: plans from best to last, the same survey-first, and the rest. */
export function listLayerClasses(plans: readonly TierPlan[]): LayerClass[] {
  const fills = buildRamp(plans.length, BLUES);
  const ofPlans = plans.map((plan, index) => ({
    plan,
    label: `${plan.id}   ${plan.downMbps} / ${plan.upMbps} Mbit/s`,
    fill: fills[index],
    ink: 2 * index < plans.length ? PAPER : INK,
    opacity: 0.8,
  }));
  return [
    ...ofPlans.map((one, index): LayerClass => {
      return { ...one, value: index + 1, kind: "plan", pattern: PLAN_PATTERNS[index % PLAN_PATTERNS.length] };
    }),
    ...ofPlans.map((one, index): LayerClass => {
      const label = `${one.label}, survey first`;
      const ink = one.ink === PAPER ? PAPER : BLUES[1];
      return { ...one, value: plans.length + index + 1, kind: "survey-first", label, pattern: STRIPES, ink };
    }),
    {
      ...{ value: TIER_CLASS.noService, kind: "no-service", plan: null, label: "no service" },
      ...{ fill: GREY, opacity: 0.25, pattern: null, ink: GREY },
    },
    {
      ...{ value: TIER_CLASS.notKnown, kind: "not-known", plan: null, label: "not known" },
      ...{ fill: GREY, opacity: 0.35, pattern: CROSSES, ink: INK },
    },
  ];
}

/** True where the pattern has ink; it repeats every eight pixels. */
export function hasInk({ pattern }: LayerClass, x: number, y: number): boolean {
  return pattern !== null && pattern[y & 7][x & 7] === "#";
}
