// The scoreboard: predictions of the program held against published experiments. Generated from
// data/published/ into data/generated/scoreboard.json; the page only shows it.

/** Whether an experiment had no part in setting the program's own figures. */
export const INDEPENDENCE = ['yes', 'partly', 'no'] as const;
export type Independence = (typeof INDEPENDENCE)[number];

/** One published observation and what the program says. */
export interface ScoreRow {
  readonly id: string;
  /** Name of the table in data/published/. */
  readonly experiment: string;
  /** What was observed, in words; the unit stands in `unit`. */
  readonly what: string;
  readonly conditions: string;
  readonly source: string;
  readonly status: 'seen' | 'derived' | 'memory';
  readonly independent: Independence;
  readonly kind: 'numeric' | 'range' | 'direction' | 'unscored';
  /** As published: a figure, a range `a–b`, or the word rise, fall or same. */
  readonly observed: string;
  /** Unit of both; empty for a ratio. */
  readonly unit: string;
  /** The prediction, of a direction the ratio that must rise, fall or stay; `null` if unscored. */
  readonly predicted: number | null;
  /** Of a numeric row: how many times too high or too low, 1 or more. */
  readonly fold: number | null;
  /** `null` if unscored. */
  readonly holds: boolean | null;
  /** The arithmetic of the program against its own published equation: says nothing of beer. */
  readonly codeCheck: boolean;
  /** Why it misses, or why it is not scored; empty where it holds. */
  readonly reason: string;
  /** What the prediction takes where the source is silent. */
  readonly taken: string;
}

/** How many of a kind hold. */
export interface Count {
  readonly held: number;
  readonly of: number;
}

/**
 * How often a note that tasters name of a hop stands higher, among all hops, than one they do not name, over so many
 * pairs of notes. 0.5 is chance.
 */
export interface TasterAgreement {
  readonly share: number;
  readonly pairs: number;
}

export interface Scoreboard {
  /** Everything scored but the checks of the arithmetic. */
  readonly all: Count;
  /** Of those, the experiments that had no part in setting the program's figures. */
  readonly independent: Count;
  readonly directions: Count;
  readonly numeric: Count;
  /** Of those, on independent experiments. */
  readonly independentNumeric: Count;
  readonly ranges: Count;
  readonly codeChecks: Count;
  readonly unscored: number;
  /** Of the numeric rows that are no checks of the arithmetic. */
  readonly medianFold: number;
  readonly tasters: {
    readonly all: TasterAgreement;
    readonly compoundsAlone: TasterAgreement;
    /** Each source that was read left out of the fit in turn, and judged. */
    readonly sourcesLeftOut: TasterAgreement;
    /** The same, where a note that memory alone names counts as not named. */
    readonly sourcesLeftOutRead: TasterAgreement;
    /** All that is recalled left out, and judged. */
    readonly memoryLeftOut: TasterAgreement;
    /** A third of the words left out at random, and judged. */
    readonly hidden: TasterAgreement;
  };
  readonly rows: readonly ScoreRow[];
}

/** How many times off, as everything prints it: two decimals below 10, none from there on. */
export function foldText(fold: number): string {
  return fold.toFixed(fold < 10 ? 2 : 0);
}
