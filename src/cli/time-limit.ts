// How long the search of a command may take: a time limit counts from the start of the process to its end, so
// starting and reading come off it, and what writing the answer will take is kept back.

/** What working out and writing one blend of an answer takes, as a part of what the start took. Seen: 0.3 to 0.6. */
const WRITING_OF_START = 0.4;
/** Most that is kept back for writing, and least that the search gets, as shares of the limit. */
const WRITING_AT_MOST = 0.1;
const SEARCH_AT_LEAST = 0.25;

export class TimeLimit {
  private readonly deadline: number;
  private readonly least: number;

  /**
   * @param seconds from start to end.
   * @param began when the process did, and `now` when it had started; both as `performance.now` tells it.
   * @param blends that the answer will tell of.
   */
  constructor(seconds: number, began: number, now: number, blends: number) {
    const limit = seconds * 1000;
    const writing = blends * WRITING_OF_START * (now - began);
    this.deadline = began + limit - Math.min(writing, WRITING_AT_MOST * limit);
    this.least = SEARCH_AT_LEAST * limit;
  }

  /** What is left for a search that begins now, ms. */
  left(now: number): number {
    return Math.max(this.deadline - now, this.least);
  }
}
