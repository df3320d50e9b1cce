// What the engine and the optimizer answer, in the words of the command line's JSON.
// Figures that cannot be known are `null` with the reason beside them, never zero.
import type { AxisId, CompoundId, FormId, StageId } from './ids.ts';
import type { Addition, Wish } from './schemas/brief.ts';

/** 10-90 % band. */
export interface Band {
  readonly low: number;
  readonly high: number;
}

export interface Totals {
  readonly hop_g: number;
  readonly hop_g_per_l: number;
  /** Leaf of hot steep and dry hop, g of type 90 equivalent per L. */
  readonly leaf_g_per_l: number;
  readonly ibu: number;
  readonly beer_lost_l: number;
  /** `null` when a used lot has no price; see `unpriced`. */
  readonly cost: number | null;
  readonly ph_rise: number;
}
export type TotalId = keyof Totals;
/** Totals that carry doubt; hop weight and cost are exact. */
export const DOUBTFUL_TOTALS = ['leaf_g_per_l', 'ibu', 'beer_lost_l', 'ph_rise'] as const;
export type DoubtfulTotalId = (typeof DOUBTFUL_TOTALS)[number];

export interface CompoundAnswer {
  readonly ug_per_l: number;
  readonly low: number;
  readonly high: number;
  /** Odour activity value; `null` where no threshold in beer is known. */
  readonly oav: number | null;
  readonly oav_low: number | null;
  readonly oav_high: number | null;
}

export interface AxisAnswer {
  /** 1 just noticeable, 2.5 clear, 4 strong, 6 dominant. */
  readonly intensity: number;
  readonly low: number;
  readonly high: number;
  /** Sum of weighted odour activity values; intensity = signal^0.4. */
  readonly signal: number;
}

/** A used lot with figures nobody gave: what it would add is not in the prediction. */
export interface UnknownFigures {
  readonly hop: string;
  readonly figures: readonly string[];
}

export interface Prediction {
  readonly name: string;
  readonly totals: Totals;
  readonly totals_band: Readonly<Record<DoubtfulTotalId, Band>>;
  readonly compounds: Readonly<Record<CompoundId, CompoundAnswer>>;
  readonly axes: Readonly<Record<AxisId, AxisAnswer>>;
  /** Figures missing from used lots: the prediction is a lower bound in what they would add. */
  readonly unknown: readonly UnknownFigures[];
  /** Used lots without a price. */
  readonly unpriced: readonly string[];
}

export interface BlendAddition {
  readonly hop: string;
  readonly form: FormId;
  readonly stage: StageId;
  readonly grams: number;
}

/** How far a blend is from a wish or limit, in the unit of that wish; 0 when met. */
export interface Miss {
  /** `target.<axis>` or `limits.<limit>`. */
  readonly wish: string;
  readonly asked: Wish | number;
  readonly got: number;
  readonly by: number;
}

export interface Blend {
  readonly additions: readonly Addition[];
  readonly totals: Totals;
  readonly totals_band: Readonly<Record<DoubtfulTotalId, Band>>;
  readonly compounds: Readonly<Record<CompoundId, CompoundAnswer>>;
  readonly axes: Readonly<Record<AxisId, AxisAnswer>>;
  /** Largest distance from a wished axis, in intensity; 0 when all are met. */
  readonly worst_miss: number;
  readonly misses: readonly Miss[];
  /** Where an answer has several blends: how sure it is that this is the best of its rank. */
  readonly proof?: Proof;
}

/** Why a candidate takes no part. */
export interface LeftOut {
  readonly hop: string;
  readonly reason: string;
}

export type DesignStatus = 'optimal' | 'within_gap' | 'closest';

/** What is proven of a blend. */
export interface Proof {
  readonly status: DesignStatus;
  /** Proven lower bound on the objective (g, money or g leaf); for `closest` on the worst miss. */
  readonly lower_bound: number;
  /** (objective - lower_bound) / objective, as a fraction. */
  readonly gap: number;
}

export interface DesignAnswer extends Proof {
  readonly milliseconds: number;
  /** The best first; each further one leaves out at least one hop of every blend before it. */
  readonly blends: readonly Blend[];
  readonly why: {
    readonly left_out: readonly LeftOut[];
    readonly notes: readonly string[];
  };
}
