// What moves a prediction most, and what would narrow its ranges: the answer of `--doubt`.
import type { Band } from './prediction.ts';
import type { AxisId, FormId } from '#shared/ids.ts';

/** One unknown moved alone to its 10 and 90 % point, everything else at its default. */
export interface Swing {
  readonly kind: 'lot' | 'parameter' | 'threshold' | 'weight' | 'reported';
  /**
   * An analyte of the lot, a parameter, a compound whose threshold it is, an axis and what counts on it
   * (`citrus/linalool`), or the axis that tasters report of the hop.
   */
  readonly id: string;
  /** The lot it belongs to. */
  readonly hop: string | null;
  readonly form: FormId | null;
  /** Whether an analysis of the lot could settle it, or only research. */
  readonly settled_by: 'lab' | 'science';
  /** Intensity of the axis with the unknown at its 10 and at its 90 % point. */
  readonly at_low: number;
  readonly at_high: number;
  /** Part of the variance of the axis that goes with this unknown alone, 0 to 1. */
  readonly share: number;
}

/** What is left of a band once one lot is analysed in full. */
export interface LotDoubt extends Band {
  readonly hop: string;
  readonly form: FormId;
  /** By which fraction the band is then narrower; near 0, and by chance just below, for no gain. */
  readonly narrower: number;
}

export interface AxisDoubt extends Band {
  readonly intensity: number;
  /** Unknowns that move the axis by 0.001 or more, the widest first. */
  readonly swings: readonly Swing[];
  /** Lots by what their analysis would be worth. */
  readonly if_analysed: readonly LotDoubt[];
  readonly if_all_analysed: Band;
  readonly if_science_settled: Band;
}

export type Doubt = Readonly<Record<AxisId, AxisDoubt>>;
