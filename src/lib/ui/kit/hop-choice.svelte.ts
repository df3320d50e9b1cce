// A hop chosen by typing its name: what is typed, the hop it stands for, and what is wrong with it.
import type { Brief } from '#shared/schemas/brief.ts';
import { inWords } from '#wording/words.ts';

/** Names of the lots a brief may use; none where that is the whole table. */
export function namesOf(candidates: Brief['candidates']): readonly string[] {
  return candidates === 'table' ? [] : candidates.map(({ hop }) => hop);
}

export class HopChoice {
  typed = $state('');
  /** What is wrong, in a sentence; `null` when nothing is. */
  sentence = $state<string | null>(null);

  /** The offered hop that is named, in whatever case; `null` with the sentence why there is none. */
  named(offered: readonly string[]): string | null {
    const key = (name: string) => name.trim().toLowerCase();
    const hop = offered.find((h) => key(h) === key(this.typed)) ?? null;
    const typed = this.typed.trim();
    if (hop !== null) this.sentence = null;
    else if (typed === '') this.sentence = 'Name a hop first.';
    else this.sentence = `No hop is called “${typed}”. Choose one from the list.`;
    return hop;
  }

  /** Takes what came of the named hop: it is done, or the refusal stands beside it. */
  settle(refusal: string | null): void {
    this.sentence = refusal === null ? null : inWords(refusal);
    if (refusal === null) this.typed = '';
  }
}
