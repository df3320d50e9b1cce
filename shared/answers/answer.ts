// What the engine and the optimizer answer, with the field names of the command line's JSON. Figures that cannot be
// known are `null` with the reason beside them, never zero.
import type { AxisId, CompoundId, FormId } from '#shared/ids.ts';
import type {
  Grams,
  GramsPerLitre,
  MilligramsPerLitre,
  MicrogramsPerLitre,
  Litres,
  Celsius,
  Months,
} from '#shared/units.ts';
import type { Addition, Wish } from '#shared/schemas/brief.ts';

/** 10-90 % band. */
export interface Band {
  readonly low: number;
  readonly high: number;
}

export interface Totals {
  readonly hop_g: Grams;
  readonly hop_g_per_l: GramsPerLitre;
  /** Leaf of hot steep and dry hop, g of type 90 equivalent per L. */
  readonly leaf_g_per_l: GramsPerLitre;
  /** As the spectrophotometer reads it. */
  readonly ibu: number;
  /** As tasted: mg/L of iso-alpha acids that taste as bitter. */
  readonly bitter_taste_mg_per_l: MilligramsPerLitre;
  /** From the leaf of the dry hop. */
  readonly polyphenols_mg_per_l: MilligramsPerLitre;
  /** Carbon dioxide hop creep forms during the dry hop, at its temperature, volumes per volume. */
  readonly creep_co2_vol: number;
  /** Of it, what forms only once the package is warm and holds yeast, volumes per volume. */
  readonly creep_to_come_vol: number;
  readonly beer_lost_l: Litres;
  /** `null` when a used lot has no price; see `unpriced`. */
  readonly cost: number | null;
  readonly ph_rise: number;
}
export type TotalId = keyof Totals;
/** Totals that carry doubt; hop weight and cost are exact. */
export const DOUBTFUL_TOTALS = [
  'leaf_g_per_l',
  'ibu',
  'bitter_taste_mg_per_l',
  'polyphenols_mg_per_l',
  'creep_co2_vol',
  'creep_to_come_vol',
  'beer_lost_l',
  'ph_rise',
] as const;
export type DoubtfulTotalId = (typeof DOUBTFUL_TOTALS)[number];

export interface CompoundAnswer {
  readonly ug_per_l: MicrogramsPerLitre;
  readonly low: MicrogramsPerLitre;
  readonly high: MicrogramsPerLitre;
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

/** A lot bought in whole packages. */
export interface Purchase {
  readonly hop: string;
  readonly form: FormId;
  readonly package_g: Grams;
  readonly packages: number;
  /** What the packages cost; `null` without a price. */
  readonly cost: number | null;
  /** Grams bought and not used. */
  readonly grams_left: Grams;
}

/** What may be wrong with a design, in the order in which it is shown. */
export const WARNINGS = [
  'creep',
  'storage_index',
  'dry_load',
  'steep_bitter',
  'hot_dose',
  'leaf',
  'beer_lost',
  'thiols_by_class',
] as const;
export type WarningId = (typeof WARNINGS)[number];

/** A warning that a design passes a limit named by its sources. It changes no figure. */
export interface Warning {
  readonly id: WarningId;
  /** `danger`: someone may be hurt; `care`: the beer may suffer; `note`: worth knowing. */
  readonly severity: 'danger' | 'care' | 'note';
  /** In words, metric. */
  readonly text: string;
  /** Figure of this design and the limit it passes, in one unit; `null` where none is compared. */
  readonly figure: number | null;
  readonly limit: number | null;
  /** Hops it is about, where it is about single ones. */
  readonly hops: readonly string[];
  readonly sources: readonly string[];
}

/** What hop creep may do in the package, were yeast and warmth to let it run to its end. */
export interface Creep {
  /** Extract the enzymes set free in all, P. */
  readonly extract_p: number;
  /** Formed in the package, volumes per volume; its band is that of `totals.creep_to_come_vol`. */
  readonly extra_co2_vol: number;
  /** `null` without `batch.co2_vol`. */
  readonly planned_co2_vol: number | null;
  readonly co2_vol: number | null;
  /** Gauge pressures; `_high` with the upper end of the band. */
  readonly planned_pressure_bar_at_20c: number | null;
  readonly pressure_bar_at_20c: number | null;
  readonly pressure_bar_at_20c_high: number | null;
  readonly caution: string;
}

/** The beer after so many months in the package. */
export interface ShelfPoint {
  readonly months: Months;
  readonly compounds: Readonly<Record<CompoundId, MicrogramsPerLitre>>;
  /** The band is that of the rates of loss alone. */
  readonly axes: Readonly<
    Record<AxisId, { readonly intensity: number; readonly low: number; readonly high: number }>
  >;
}

/** Until when the profile is the one that was made. */
export interface BestBefore {
  /** `null`: for two years and more. */
  readonly months: Months | null;
  /** With the rates of loss at their ends. */
  readonly low: Months | null;
  readonly high: Months | null;
  /** The note that has faded by then; onion and garlic, which nobody misses, is left out. */
  readonly axis: AxisId | null;
}

export interface Shelf {
  readonly temp_c: Celsius;
  readonly points: readonly ShelfPoint[];
  readonly best_before: BestBefore;
}

/** What is predicted of a design beside the figures of the fresh beer. */
export interface Outlook {
  readonly warnings: readonly Warning[];
  /** `null` where no hops go into a dry hop. */
  readonly creep: Creep | null;
  readonly shelf: Shelf;
}

export interface Prediction extends Outlook {
  readonly name: string;
  readonly totals: Totals;
  readonly totals_band: Readonly<Record<DoubtfulTotalId, Band>>;
  readonly compounds: Readonly<Record<CompoundId, CompoundAnswer>>;
  readonly axes: Readonly<Record<AxisId, AxisAnswer>>;
  /** Figures missing from used lots: the prediction is a lower bound in what they would add. */
  readonly unknown: readonly UnknownFigures[];
  /** Used lots that are sold in packages; absent where there are none. */
  readonly purchases?: readonly Purchase[];
  /** Used lots without a price. */
  readonly unpriced: readonly string[];
}

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
