// Problems as they are found. The first hundred get a sentence, the rest are only counted: nobody corrects more at
// once, and a file with a fault in every word must not cost more than reading it.
import type { Problem } from '#shared/outcome.ts';

/** Most problems that get a sentence. */
export const PROBLEMS_MAX = 100;

/** How many faults these problems stand for, those that are only counted as well. */
export function faultCount(problems: readonly Problem[]): number {
  return problems.reduce((sum, { further }) => sum + (further ?? 1), 0);
}

export class Problems {
  readonly #listed: Problem[] = [];
  #further = 0;

  /** All faults found so far. */
  get count(): number {
    return this.#listed.length + this.#further;
  }

  /** Adds a problem; it is put in words only if it will be listed. */
  add(inWords: () => Problem): void {
    if (this.#listed.length < PROBLEMS_MAX) this.#listed.push(inWords());
    else this.#further += 1;
  }

  /** Adds the problems of a part, which are in words already. */
  addAll(problems: readonly Problem[]): void {
    for (const problem of problems) {
      if (problem.further !== undefined) this.#further += problem.further;
      else this.add(() => problem);
    }
  }

  /** The problems that have a sentence; one more at the end counts the rest. */
  get list(): readonly Problem[] {
    if (this.#further === 0) return this.#listed;
    const message = `and ${this.#further.toLocaleString('en')} more like these`;
    const cure = 'Correct those named here first; the others are named after that';
    return [...this.#listed, { path: '', message, cure, further: this.#further }];
  }
}

/** The first hundred of these problems, and one more that counts the rest. */
export function firstProblems(problems: readonly Problem[]): readonly Problem[] {
  const some = new Problems();
  some.addAll(problems);
  return some.list;
}
