// Which of several kinds of split a search goes on with. To try them against each other takes the relaxations of
// all their parts, so the one that lifted most is kept for a while untried, the longer the more often it wins.

/** Splits of the first kind before any trial: trees that end sooner are not worth one. */
const FIRST_UNTRIED = 20;
/** Splits the winner of a trial is kept for, at most; and how many times as long the first kind. */
const KEPT_MOST = 16;
const FIRST_KEPT = 4;

export class SplitHabit {
  #kind = 0;
  #wins = 0;
  #left = FIRST_UNTRIED;

  /** The kind to go on with untried; `null` where it is time to try. */
  get kept(): number | null {
    return this.#left > 0 ? this.#kind : null;
  }

  /** The kept kind was used once more. */
  used(): void {
    this.#left -= 1;
  }

  /** A trial was won. */
  won(kind: number): void {
    this.#wins = kind === this.#kind ? this.#wins + 1 : 0;
    this.#kind = kind;
    const kept = Math.min(2 ** this.#wins, KEPT_MOST);
    this.#left = kind === 0 ? FIRST_KEPT * kept : kept;
  }
}
