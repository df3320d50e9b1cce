// The brew sheet as one value: every step of a brew in the order of the process, what is weighed out for it, when,
// where, how warm and for how long, what to beware of; and what is expected of the beer. Page, print, terminal and
// calendar all show this value.
import type { Band } from './prediction.ts';
import type { AxisId, FormId, YeastId } from '#shared/ids.ts';

export const STEP_KINDS = [
  'strike',
  'mash',
  'sparge',
  'boil',
  'boil_hops',
  'liquor_steep',
  'hot_steep',
  'chill',
  'join',
  'pitch',
  'dry_hop',
  'crash',
  'package',
] as const;
export type StepKind = (typeof STEP_KINDS)[number];

/** What a figure of a step measures; the comment names its unit. */
export type SheetUnit =
  | 'C'
  | 'L'
  | 'min'
  | 'h'
  | 'kg'
  | 'SG'
  | 'vol' // carbon dioxide, volumes per volume
  | 'bar'; // gauge

export interface SheetFigure {
  readonly name: string;
  readonly value: number;
  readonly unit: SheetUnit;
  /** Ends of a window to keep to. */
  readonly low?: number;
  readonly high?: number;
  /** Whether it rests on what is usual, because nobody said. */
  readonly usual?: true;
}

/** Grams of one lot at a step. */
export interface WeighOut {
  readonly hop: string;
  readonly form: FormId;
  readonly grams: number;
  /** What distinguishes the lot from others of its hop, as far as it is known: alpha acids, its pack. */
  readonly lot: string;
}

export interface SheetStep {
  /** The same for the same step of the same schedule, so that what is done can be ticked. */
  readonly id: string;
  readonly kind: StepKind;
  readonly title: string;
  /** Key of the stage the hops belong to. */
  readonly stage: string | null;
  readonly vessel: string;
  /** Days after the brew day. */
  readonly day: number;
  /** Whether the day is what is usual, because nobody said one. */
  readonly day_is_usual: boolean;
  /** ISO day; `null` without a brew day. */
  readonly date: string | null;
  /** Day on which it is over, and its date; `null` where it takes no days. */
  readonly ends_day: number | null;
  readonly ends_date: string | null;
  /** Where a clock is to be set, in minutes. */
  readonly timer_min: number | null;
  readonly weigh: readonly WeighOut[];
  readonly figures: readonly SheetFigure[];
  /** What to do, one sentence each. */
  readonly instructions: readonly string[];
  readonly cautions: readonly string[];
}

/** What the prediction expects of this brew. */
export interface Expected {
  readonly ibu: number;
  readonly ibu_band: Band;
  /** Held by hops of all stages, and how much of it before the fermenter, where more wort makes up for it. */
  readonly beer_lost_l: number;
  readonly made_up_l: number;
  readonly packaged_l: number;
  readonly creep_co2_vol: number;
  readonly creep_to_come_vol: number;
  /** Until when the profile is the one that was made, counted from the package; `null`: for two years and more. */
  readonly best_before_months: number | null;
  /** The same as an ISO day; `null` without a brew day too. */
  readonly best_before_on: string | null;
  readonly axes: Readonly<Record<AxisId, { readonly intensity: number } & Band>>;
}

export interface BrewSheet {
  readonly name: string;
  readonly brewed_on: string | null;
  readonly beer_l: number;
  readonly yeast: YeastId;
  readonly gravity_sg: number | null;
  readonly hop_g: number;
  readonly steps: readonly SheetStep[];
  readonly expected: Expected;
  /** The person's own words: salts, acids, rice hulls. */
  readonly note: string;
  /** Those of every brew that stand at no step. */
  readonly cautions: readonly string[];
}
