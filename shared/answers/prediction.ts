// What the engine predicts of a design, with the field names of the command line's JSON: figures with their bands,
// warnings, hop creep, storage, packages to buy. Figures that cannot be known are `null` with the reason beside them,
// never zero.
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
