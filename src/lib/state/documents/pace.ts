// When something is written: at once where nothing was for a while, else after a short rest, so that a
// burst of edits costs a few writes. One at a time, and after it the newest.

/** Shortest time from the beginning of one write to the next, ms: how far a burst is behind at most. */
export const REST_MS = 200;

export class Pace {
  #underway: Promise<void> | null = null;
  #wanted = false;
  #begun = -Infinity;
  #timer: ReturnType<typeof setTimeout> | undefined;

  /** @param write writes what is newest, and tells whether there was anything; never fails. */
  constructor(private readonly write: () => Promise<boolean>) {}

  /** There is something new. */
  ask(): void {
    this.#wanted = true;
    if (this.#underway) return;
    clearTimeout(this.#timer);
    const rest = this.#begun + REST_MS - performance.now();
    if (rest <= 0) void this.#run();
    else this.#timer = setTimeout(() => void this.#run(), rest);
  }

  /** Writes without a rest, after what is under way; resolves when the newest is written. */
  async now(): Promise<void> {
    while (this.#underway) await this.#underway;
    await this.#run();
  }

  #run(): Promise<void> {
    clearTimeout(this.#timer);
    this.#wanted = false;
    const begun = performance.now();
    this.#underway = this.write().then((wrote) => {
      this.#underway = null;
      if (wrote) this.#begun = begun;
      if (this.#wanted) this.ask();
    });
    return this.#underway;
  }
}
