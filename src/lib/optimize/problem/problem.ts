// The blend problem as mathematics, without any solver: a column is a lot at a stage, in grams
// per litre of beer, rows are wishes and limits. Everything is linear in the doses once the total
// dry-hop load D is fixed; the few things that depend on D are named here and nowhere else.
import type { AxisId, FormId } from '#shared/ids.ts';
import type { LeftOut } from '#shared/answers/answer.ts';
import type { Minimise, Wish } from '#shared/schemas/brief.ts';
import type { GramsPerLitre, Litres, LitresPerGram, MilligramsPerLitre } from '#shared/units.ts';
import type { ParameterValues } from '#engine/tables/model.ts';
import type { Offer } from './candidates.ts';
import type { FixedAdditions } from './fixed-additions.ts';

/**
 * Least dose of a required hop where neither a smallest addition nor a weighing step says it, g/L:
 * 4 g in 40 L. A judgement: with less the hop would be named in the blend and not tasted.
 */
export const REQUIRED_G_PER_L: GramsPerLitre = 0.1;

/** One lot at one stage: what the optimizer may dose, g/L. */
export interface Column {
  readonly lot: number;
  readonly variety: number;
  readonly form: FormId;
  /** Key of the stage; `null`: no addition, but what is left over of the lot's whole packages. */
  readonly stage: string | null;
  /** Of what is left over: one package, g/L. */
  readonly package?: GramsPerLitre;
  /** Largest dose, g/L: stage limit, stock, the largest dose taken at all; in whole steps. */
  readonly most: GramsPerLitre;
}

/**
 * Signal of an axis at the chosen load L:
 * base + direct.x + sum over load groups of (dampedBase + damped.x) / (1 + L/halfLoad).
 */
export interface AxisRow {
  readonly axis: AxisId;
  readonly wish: Wish;
  /** Wished intensities; minus and plus infinity where one side is free. */
  readonly low: number;
  readonly high: number;
  /** Whether the window stays as it is where the others are widened. */
  readonly held?: boolean;
  /** What the malt and the fixed additions bring, untouched by the load. */
  readonly base: number;
  /** What fixed dry hops bring before the chosen load takes its share, by load group. */
  readonly dampedBase: readonly number[];
  /** Signal per g/L of each column that the load does not change. */
  readonly direct: Float64Array;
  /** Signal per g/L before the load takes its share, by load group. */
  readonly damped: readonly Float64Array[];
}

/** A capped part of the bitterness: weight * (base + min(alpha.x, cap)). */
export interface BitterTerm {
  /** mg/L of alpha acids per g/L of each column. */
  readonly alpha: Float64Array;
  /** Keys of the stages whose alpha acids it counts. */
  readonly stages: readonly string[];
  /** mg/L of alpha acids from fixed additions, as far as they count. */
  readonly base: MilligramsPerLitre;
  /** Alpha acids that still count beyond `base`, mg/L. */
  readonly cap: MilligramsPerLitre;
  /** IBU per mg/L */
  readonly weight: number;
  /** Whether the dry hop takes its exp(-a L) share. */
  readonly adsorbed: boolean;
}

/** IBU = base + sum of terms (adsorbed ones times exp(-adsorption L)) + plain.x */
export interface BitterRow {
  /** Whether the window stays as it is where the wishes are widened. */
  readonly held?: boolean;
  readonly atLeast: number | undefined;
  readonly atMost: number | undefined;
  readonly terms: readonly BitterTerm[];
  /** IBU of fixed additions that no load changes. */
  readonly base: number;
  readonly plain: Float64Array;
  readonly adsorption: LitresPerGram;
}

/** What a hard limit that is linear in the doses holds down. */
export type LimitOf =
  | { readonly kind: 'leaf' }
  | { readonly kind: 'cost' }
  | { readonly kind: 'stage'; readonly stage: string }
  | { readonly kind: 'stock'; readonly hop: string }
  /** A share of the hop weight: the fraction asked for, and the weight of the fixed additions, g/L. */
  | { readonly kind: 'share'; readonly asked: number; readonly fixed: GramsPerLitre }
  | { readonly kind: 'require'; readonly hop: string }
  /** No limit of the brief: the objective may be no more than that of a known blend. */
  | { readonly kind: 'objective' };

/** A hard limit: coef.x <= most. */
export interface LinearLimit {
  readonly of: LimitOf;
  readonly coef: Float64Array;
  /** Where few columns count: what each counts, by column (see limits.ts). */
  readonly only?: ReadonlyMap<number, number>;
  /** What is left of the limit beside the fixed additions; below 0 where they overdraw a share. */
  readonly most: number;
  /** What the fixed additions take of it. */
  readonly taken: number;
}

/**
 * Columns, rows and objective of a brief. Additions kept as they are come in as constants (fixed-additions.ts), and
 * their load K is folded into the laws: with L the load chosen and D = K + L,
 * 1/(1 + D/h) = h/(h + K) / (1 + L/(h + K)) and exp(-a D) = exp(-a K) exp(-a L). The load of a problem is L.
 */
export interface BlendProblem {
  readonly beerL: Litres;
  readonly minimise: Minimise;
  readonly values: ParameterValues;
  readonly offers: readonly Offer[];
  readonly leftOut: readonly LeftOut[];
  readonly columns: readonly Column[];
  /** Names of the distinct hops among the columns. */
  readonly varieties: readonly string[];
  /** Columns of each variety that are additions. */
  readonly columnsOfVariety: readonly (readonly number[])[];
  /** What stays as it is. */
  readonly fixed: FixedAdditions;
  /** Objective per g/L: g, money or g of leaf for the whole batch; fixed additions do not count. */
  readonly objective: Float64Array;
  /** 1 for dry-hop columns: their sum is the load L. */
  readonly dry: Float64Array;
  /** Largest load worth looking at, g/L. */
  readonly loadMax: GramsPerLitre;
  /** Half-loads by load group on top of the fixed load, g/L. */
  readonly halfLoads: readonly GramsPerLitre[];
  readonly axes: readonly AxisRow[];
  readonly bitter: BitterRow | null;
  readonly limits: readonly LinearLimit[];
  readonly hopsAtMost: number;
  /** Different forms of one hop; infinite where no hop is on offer in more. */
  readonly formsPerHopAtMost: number;
  /** Columns with a dose; infinite where there are no more columns. */
  readonly additionsAtMost: number;
  /** Varieties used in any case, with at least `least`. */
  readonly required: readonly number[];
  /** g/L; a column is 0 or at least this. 0 where any dose will do. */
  readonly least: GramsPerLitre;
  /** g/L; doses are whole multiples of it; 0 where any dose will do. */
  readonly step: GramsPerLitre;
}

/** Least dose of a column that is used, g/L; 0 where any dose will do. */
export function leastDose({ least, step }: Pick<BlendProblem, 'least' | 'step'>): GramsPerLitre {
  return Math.max(least, step);
}

/** Least dose of a variety that is used, g/L; 0 where any dose will do. */
export function leastOf(problem: BlendProblem, variety: number): GramsPerLitre {
  const least = leastDose(problem);
  return least === 0 && problem.required.includes(variety) ? REQUIRED_G_PER_L : least;
}
