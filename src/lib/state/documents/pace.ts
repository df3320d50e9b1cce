// When to write: at once if nothing was written recently, else after a short pause, so that many quick edits
// cost few writes. One write at a time; the next one writes the newest state.

/**
 * Shortest time from the start of one write to the start of the next, ms: the most that is unwritten during
 * many quick edits.
 */
export const REST_MS = 200;

export class Pace {
  #underway: Promise<void> | null = null;
  #wanted = false;
  #begun = -Infinity;
  #timer: ReturnType<typeof setTimeout> | undefined;

  /** @param write writes the newest state and resolves to whether there was anything to write; never rejects. */
  constructor(private readonly write: () => Promise<boolean>) {}

  /** Reports that there is something new to write. */
  ask(): void {
    this.#wanted = true;
    if (this.#underway) return;
    clearTimeout(this.#timer);
    const rest = this.#begun + REST_MS - performance.now();
    if (rest <= 0) void this.#run();
    else this.#timer = setTimeout(() => void this.#run(), rest);
  }

  /** Writes without a pause, after a write in progress; resolves when the newest state is written. */
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
