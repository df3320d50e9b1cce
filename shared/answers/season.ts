// What a season's plan says: each batch's blend, what it takes of each lot, what to buy by when, and where there
// is no plan, what clashes.
import type { AxisId, FormId } from '#shared/ids.ts';
import type { Grams, GramsPerLitre } from '#shared/units.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import type { SeasonMinimise } from '#shared/schemas/planned-season.ts';
import type { Hold, Miss, Proof } from './answer.ts';

/** Grams of one of the season's candidates for a batch. */
export interface LotShare {
  /** Place in the season's candidates, in its batches. */
  readonly candidate: number;
  readonly batch: number;
  readonly grams: Grams;
}

export interface PlannedBatch {
  readonly name: string;
  readonly brew_on: string;
  readonly additions: readonly Addition[];
  readonly hop_g: Grams;
  readonly hop_g_per_l: GramsPerLitre;
  readonly ibu: number;
  readonly axes: Readonly<Record<AxisId, { readonly intensity: number }>>;
  /** Largest miss of a wish, in intensity; 0 where all are met. */
  readonly worst_miss: number;
  readonly misses: readonly Miss[];
  /** Where its brief asks for a share of lots: how far it holds in them. */
  readonly hold?: Hold;
}

/** What to buy of one candidate for the batches brewed from one day on. */
export interface ToBuy {
  readonly candidate: number;
  readonly hop: string;
  readonly form: FormId;
  /** Needed on this day. */
  readonly by: string;
  readonly grams: Grams;
  /** Whole packages; absent where it is bought by the gram. */
  readonly packages?: number;
  /** `null` without a price. */
  readonly cost: number | null;
}

/** Batches and lots that cannot go together. */
export interface PlanClash {
  /** Places in the season's batches and candidates. */
  readonly batches: readonly number[];
  readonly candidates: readonly number[];
  /** Whether each of them is proven to be needed for the clash. */
  readonly smallest: boolean;
}

export interface SeasonAnswer extends Proof {
  readonly minimise: SeasonMinimise;
  /** Grams or money of all batches; the lower bound is of this. */
  readonly objective: number;
  readonly milliseconds: number;
  readonly batches: readonly PlannedBatch[];
  /** Of each lot what goes into each batch. */
  readonly lots: readonly LotShare[];
  readonly buy: readonly ToBuy[];
  /** Where no plan meets every brief: what clashes, and the grams lacking at least, which the plan takes all the same. */
  readonly clash?: PlanClash;
  readonly lacking: readonly { readonly candidate: number; readonly grams: Grams }[];
  readonly notes: readonly string[];
}
