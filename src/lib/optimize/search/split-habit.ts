// Which of several kinds of split a search uses next. Comparing them takes a relaxation of every part of each, so
// the kind that raised the bounds most is used for a while without comparing, the longer the more often it wins.

/** So many splits of the first kind come before any comparison: smaller trees end sooner than it takes. */
const FIRST_UNTRIED = 20;
/** Splits the winner of a trial is kept for, at most; and how many times as long the first kind. */
const KEPT_MOST = 16;
const FIRST_KEPT = 4;

export class SplitHabit {
  #kind = 0;
  #wins = 0;
  #left = FIRST_UNTRIED;

  /** The kind to use without comparing; `null` where it is time to compare. */
  get kept(): number | null {
    return this.#left > 0 ? this.#kind : null;
  }

  /** Counts one more use of the kept kind. */
  used(): void {
    this.#left -= 1;
  }

  /** Notes the kind that won a comparison. */
  won(kind: number): void {
    this.#wins = kind === this.#kind ? this.#wins + 1 : 0;
    this.#kind = kind;
    const kept = Math.min(2 ** this.#wins, KEPT_MOST);
    this.#left = kind === 0 ? FIRST_KEPT * kept : kept;
  }
}
