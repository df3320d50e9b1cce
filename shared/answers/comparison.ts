// Answers that set blends beside something: a schedule whose hop is replaced, a schedule made cheaper or lighter, the
// points of a trade-off. With the field names of the command line's JSON.
import type { AxisId } from '#shared/ids.ts';
import type { Blend, LeftOut, Proof } from './answer.ts';
import type { Totals } from './prediction.ts';
import type { Minimise } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import type { Grams, GramsPerLitre, Litres } from '#shared/units.ts';

/** How an axis changes, in intensity. */
export interface AxisChange {
  readonly from: number;
  readonly to: number;
  readonly change: number;
  /** Whether the change passes the just noticeable difference in concentration. */
  readonly noticeable: boolean;
}

/** What a blend adds to the totals of another (below 0: saves). */
export interface TotalsChange {
  readonly hop_g: Grams;
  readonly ibu: number;
  readonly leaf_g_per_l: GramsPerLitre;
  readonly beer_lost_l: Litres;
  /** `null` where a lot of one of the two has no price. */
  readonly cost: number | null;
}

/** A blend beside the schedule it is measured against; its additions are the whole schedule. */
export interface ComparedBlend extends Blend {
  readonly changes: Readonly<Record<AxisId, AxisChange>>;
  readonly totals_change: TotalsChange;
  readonly proof: Proof;
}

/** The schedule a comparison starts from. */
export interface Original {
  readonly additions: readonly Addition[];
  readonly totals: Totals;
  readonly axes: Readonly<Record<AxisId, number>>;
}

interface Comparison {
  readonly milliseconds: number;
  readonly original: Original;
  readonly why: { readonly left_out: readonly LeftOut[]; readonly notes: readonly string[] };
}

/** A replacement: one hop in one form, or two that share its place; at most two new lines. */
export interface Replacement extends ComparedBlend {
  readonly hops: readonly string[];
  /** The new lines; all others are those of the schedule. */
  readonly added: readonly Addition[];
  /** Stages of new lines at which the old hop did not stand; empty where it keeps its role. */
  readonly stages_added: readonly string[];
  /**
   * Largest change of an axis, in intensity; bitterness beyond its room counts 1 per 5 IBU. `proof` is about this
   * figure, for these hops in these forms at these stages. Not the least where removing a difference nobody can taste
   * would take more grams than the old hop had.
   */
  readonly difference: number;
  /** Whether no axis changes noticeably. */
  readonly unnoticed: boolean;
  /** Whether the bitterness stays within 10 % or 2 IBU of what it was. */
  readonly bitterness_kept: boolean;
}

/**
 * A hop tried as the only replacement at the stages of the old one, in the form that came closest,
 * doses in any fraction of a gram.
 */
export interface Tried {
  readonly hop: string;
  /** Least largest change of an axis: proven not below, and found. Bitterness beyond its room counts. */
  readonly at_least: number;
  readonly at_most: number;
}

export interface SwapAnswer extends Comparison, Proof {
  readonly replaced: readonly Addition[];
  /**
   * Best first: those nobody can distinguish from the schedule, else from the nearest one; among them those that keep
   * the bitterness, then by the lines that change; then by difference, rounded to one decimal; then by cost where the
   * schedule has one, else by weight.
   */
  readonly blends: readonly Replacement[];
  /** Every hop tried alone, closest first. */
  readonly tried: readonly Tried[];
}

/** The cheapest or the lightest blend that nobody should notice. */
export interface Saving extends ComparedBlend {
  readonly minimised: Minimise;
  /** Whether it is the schedule as it was: nothing to save. */
  readonly unchanged: boolean;
}

/** One wish or limit loosened alone, as far as the goal of a saving needs. */
export interface Loosening {
  /** Path of the wish or limit, as `target.citrus.at_least` or `limits.ibu_at_least`. */
  readonly path: string;
  readonly from: number;
  readonly to: number;
  /** How far, in intensity: 5 IBU count as 1, and so does a hop more. The nearest comes first. */
  readonly by: number;
  /** Cost of a blend that this allows. */
  readonly cost: number;
}

/** The goal of a saving, and how it stands. */
export interface SavingGoal {
  /** Part of the cost to save at least, and the cost that leaves; beer held back counts where it has a price. */
  readonly share: number;
  readonly cost_at_most: number;
  readonly reached: boolean;
  /** Part of the cost that the cheapest blend saves. */
  readonly saved: number;
  /** Where it is not reached: each loosening that alone would reach it, the nearest first. */
  readonly loosenings: readonly Loosening[];
  /** Wishes and limits not tried to the end in the time given. */
  readonly untried: number;
}

export interface SavingsAnswer extends Comparison {
  /** What a litre of the beer held back counted for, in cost and goal; `null` where it did not. */
  readonly beer_price_per_l: number | null;
  /** `null` where no goal was set or the schedule's cost is not known. */
  readonly goal: SavingGoal | null;
  /** Just noticeable difference kept, a fraction of concentration. */
  readonly jnd: number;
  readonly ibu_between: readonly [number, number];
  readonly blends: readonly Saving[];
}

/** A point of a trade-off curve: no blend is better in one figure without being worse in the other. */
export interface TradeoffPoint {
  readonly hop_g: Grams;
  /** `null` where a lot has no price. */
  readonly cost: number | null;
  /** Intensities by which every wish was widened (5 IBU each for the bitterness). */
  readonly slack: number;
  /** On a curve against chance: the share of drawn lots asked for; 0: the middle lots alone. */
  readonly holds_in_lots_at_least?: number;
  readonly blend: Blend;
  /** About the figure minimised at this point: grams, money on a curve against cost, what the brief minimises against chance. */
  readonly proof: Proof;
}

export const TRADEOFFS = ['closeness', 'cost', 'chance'] as const;
export type Tradeoff = (typeof TRADEOFFS)[number];

export interface TradeoffAnswer {
  /** What the weight of hops is traded against. */
  readonly against: Tradeoff;
  readonly milliseconds: number;
  readonly points: readonly TradeoffPoint[];
  readonly why: { readonly left_out: readonly LeftOut[]; readonly notes: readonly string[] };
}
