// What the optimizer answers to a brief, with the field names of the command line's JSON: blends, what they miss, what
// limits cost, what clashes, how often a blend holds, and what is proven. Figures that cannot be known are `null` with
// the reason beside them, never zero.
import type { AxisId, CompoundId, FormId } from '#shared/ids.ts';
import type { Grams } from '#shared/units.ts';
import type { Wish } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import type {
  Band,
  Totals,
  DoubtfulTotalId,
  CompoundAnswer,
  AxisAnswer,
  Purchase,
  Outlook,
} from './prediction.ts';

export interface BlendAddition {
  readonly hop: string;
  readonly form: FormId;
  /** Key of the stage. */
  readonly stage: string;
  readonly grams: Grams;
}

/** How far a blend is from a wish or limit, in the unit of that wish; 0 when met. */
export interface Miss {
  /** `target.<axis>` or `limits.<limit>`. */
  readonly wish: string;
  readonly asked: Wish | number;
  readonly got: number;
  readonly by: number;
}

/** In what share of draws a blend meets every wish and the bitterness window, 0 to 1. */
export interface Chance {
  /** Lots vary, the model is taken to be right. */
  readonly holds_in_lots: number;
  /** Lots vary, and all that science does not know as well. */
  readonly holds_in_all: number;
}

export interface Blend extends Outlook, Chance {
  readonly additions: readonly Addition[];
  readonly totals: Totals;
  readonly totals_band: Readonly<Record<DoubtfulTotalId, Band>>;
  readonly compounds: Readonly<Record<CompoundId, CompoundAnswer>>;
  readonly axes: Readonly<Record<AxisId, AxisAnswer>>;
  /** Largest miss of a wish, in intensity, 5 IBU of bitterness counted as 1; 0 when all are met. */
  readonly worst_miss: number;
  /** Largest distance from an aim itself, in intensity; where the brief asks for the closest. */
  readonly distance?: number;
  readonly misses: readonly Miss[];
  /** Lots bought in whole packages; absent where there are none. */
  readonly purchases?: readonly Purchase[];
  /** Where an answer has several blends: how sure it is that this is the best of its rank. */
  readonly proof?: Proof;
}

/** A blend as predicted at the defaults; with bands where they were drawn. */
export interface PointBlend
  extends
    Omit<Blend, 'totals_band' | 'compounds' | 'axes' | 'proof' | keyof Outlook | keyof Chance>,
    Partial<Chance> {
  readonly totals_band?: Blend['totals_band'];
  readonly compounds: Readonly<Record<CompoundId, CompoundPoint>>;
  readonly axes: Readonly<Record<AxisId, AxisPoint>>;
}
export type AxisPoint = Pick<AxisAnswer, 'intensity' | 'signal'> & Partial<AxisAnswer>;
export type CompoundPoint = Pick<CompoundAnswer, 'ug_per_l' | 'oav'> & Partial<CompoundAnswer>;

/** Why a candidate takes no part. */
export interface LeftOut {
  readonly hop: string;
  readonly reason: string;
}

/** What one addition brings to each axis; the malt where `addition` is `null`. */
export interface Contribution {
  readonly addition: BlendAddition | null;
  /** The parts add up to the axis' signal; `share` is `null` where the axis has none. */
  readonly axes: Readonly<
    Record<AxisId, { readonly signal: number; readonly share: number | null }>
  >;
}

export type WishSide = 'at_least' | 'at_most';
export type PriceUnit = 'intensity' | 'IBU' | 'g_per_l' | 'g' | 'money' | 'share';

/**
 * What a wish or limit costs where it stands, in the unit of the objective: hops and uses as in the
 * blend, doses free, weighing step off, the dry-hop load free to follow.
 */
export interface Price {
  readonly wish: string;
  readonly side: WishSide;
  readonly unit: PriceUnit;
  /** Where the bound stands and what the blend of free doses gives, in `unit`. */
  readonly asked: number;
  readonly got: number;
  /** Objective saved, to first order, by giving way by `per` units; 0 where the bound is not met. */
  readonly price: number;
  readonly per: number;
  /** Bounds between which the same uses and the same wishes bind; `null` where there is no end. */
  readonly from: number | null;
  readonly to: number | null;
}

/** What would have to be better of a hop for it to pay: its oil, its thiols, its price. */
export type Lever = 'oil' | 'thiols' | 'price';

export interface LeverNeed {
  readonly lever: Lever;
  readonly form: FormId;
  /** Key of the stage. */
  readonly stage: string;
  /** Times as much oil or thiols, or this share of the price; `null` where no factor would do. */
  readonly factor: number | null;
}

/** Why a named hop is not in the blend. */
export interface WhyNot {
  readonly hop: string;
  /**
   * `in_blend`; `left_out`: takes no part (see `reason`); `impossible`: no blend with it meets the
   * wishes; `undecided`: none found in time; `dearer`: see `extra`.
   */
  readonly verdict: 'in_blend' | 'left_out' | 'impossible' | 'undecided' | 'dearer';
  readonly reason: string | null;
  /** Best blend that must hold it: additions, objective, proven bound. */
  readonly with_it: {
    readonly additions: readonly BlendAddition[];
    readonly objective: number;
    readonly lower_bound: number;
    /** Objective over that of the blend shown. */
    readonly extra: number;
  } | null;
  /**
   * Objective one more gram of it would cost at the chosen uses and prices of the wishes, at its best
   * use; below 0 it would pay there, and only counts of hops, least additions or steps keep it out.
   */
  readonly reduced_cost_per_g: number | null;
  readonly levers: readonly LeverNeed[];
}

/** A wish or limit that takes part in a clash, and the least change of it alone that ends the clash. */
export interface ClashMember {
  readonly wish: string;
  readonly side: WishSide | null;
  readonly asked: number | null;
  /** Met with this bound, all else kept (a blend was found); `null` if even without it none is. */
  readonly holds_at: number | null;
  /** Proven not to do; the least change lies between. `null` where the bound can only be dropped. */
  readonly fails_at: number | null;
  /** Whether the brief can be met with this one dropped and all else kept; `null`: not decided. */
  readonly enough_alone: boolean | null;
}

/** Wishes and limits that no blend meets together, though it meets the rest without any one of them. */
export interface Clash {
  readonly members: readonly ClashMember[];
  /** Whether dropping any member was shown to make the others possible. */
  readonly irreducible: boolean;
  /** Whether no clash of fewer members exists; `false` where that was not looked into. */
  readonly smallest: boolean;
}

/** A blend that holds in a share of lots, beside the one for central figures. */
export interface Hold {
  /** Share asked for and share reached in the scenarios the blend was chosen by, 0 to 1. */
  readonly wanted: number;
  readonly share: number;
  readonly reached: boolean;
  /**
   * Share of those draws that was sought: more than asked for, because a blend chosen by them holds in fewer others.
   */
  readonly sought: number;
  readonly scenarios: number;
  readonly seed: number;
  /** Share in scenarios of another seed, never seen while choosing. */
  readonly fresh: { readonly share: number; readonly scenarios: number; readonly seed: number };
  /** Share in which the blend for central figures holds. */
  readonly central_share: number;
  /** Objective over that of the blend for central figures. */
  readonly extra: number;
  /** No blend holds in more of the scenarios, as far as proven. */
  readonly share_at_most: number;
  /**
   * The least loosening of one wish with which this blend would hold in the share asked for; `null` where it does
   * already, or no single one is enough.
   */
  readonly eased: Eased | null;
}

/** A wish or bitterness widened. */
export interface Eased {
  /** Its path in the brief. */
  readonly wish: string;
  /** Intensity by which each side of it is widened; of the bitterness IBU. */
  readonly by: number;
}

export type DesignStatus = 'optimal' | 'within_gap' | 'closest';

/** What is proven of a blend. */
export interface Proof {
  readonly status: DesignStatus;
  /**
   * Proven lower bound on the objective (g, money or g leaf); for `closest` on the worst miss, or where
   * the brief minimises `closest` on the largest distance from an aim, 5 IBU counted as 1.
   */
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
    /** With the option `explain`: parts of the first blend's signals. */
    readonly contributions?: readonly Contribution[];
    /** Absent where the blend's figures could not be priced (see notes) or do not meet the wishes. */
    readonly prices?: readonly Price[];
    readonly why_not?: readonly WhyNot[];
    readonly clash?: Clash;
    readonly hold?: Hold;
  };
}
