// The linear rows a relaxation is made of: which loads they hold for, how they are
// written out, which bound moves when the wishes are widened.

/** Loads D a relaxation holds for, g/L. */
export interface LoadInterval {
  readonly from: number;
  readonly to: number;
}

/** Which side of a capped bitter term counts where the IBU must stay below a limit; see bitter-rows.ts. */
export type CapChoice = 'open' | 'linear' | 'capped';

/**
 * lower <= sum of factor*vector . x <= upper; infinite where a side is free. The vectors are those of
 * the row's source. A moving bound is given without the part that moves.
 */
export interface RowForm {
  readonly vectors: readonly Float64Array[];
  readonly factors: readonly number[];
  readonly lower: number;
  readonly upper: number;
}

/** A row that every blend keeps. */
export function freeRow(vectors: readonly Float64Array[]): RowForm {
  return { vectors, factors: vectors.map(() => 0), lower: -Infinity, upper: Infinity };
}

/** Coefficients by column of a row of few columns. */
export interface Members extends Iterable<readonly [column: number, coefficient: number]> {
  get(column: number): number | undefined;
  keys(): Iterable<number>;
}

/** A row of the relaxation, to be written out for an interval of loads. */
export interface RowSource {
  readonly name: string;
  /** The vectors of every form of the row; none where `members` says its coefficients. */
  readonly vectors: readonly Float64Array[];
  /** Its coefficients where it has few columns, the same at all loads. */
  readonly members: Members | null;
  /**
   * @param slackMost largest slack the row must hold for.
   */
  readonly form: (interval: LoadInterval, slackMost: number, caps: readonly CapChoice[]) => RowForm;
  /** The bound that moves when the wishes are widened by a slack, and its moving part. */
  readonly moving: {
    readonly side: 'lower' | 'upper';
    readonly at: (slack: number) => number;
  } | null;
  /** Whether the row is the same for every interval. */
  readonly fixed: boolean;
  /** Whether it depends on the cap choices. */
  readonly capped: boolean;
  /** Whether it belongs in every program from the start. */
  readonly essential: boolean;
}
