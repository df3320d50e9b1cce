// Problems as they are found. The first hundred get a sentence, the rest are only counted: nobody corrects more at
// once, and a file with a fault in every word must not cost more than reading it.
import type { Problem } from '#shared/outcome.ts';

/** Problems told at most. */
export const TOLD_MAX = 100;

/** How many faults these problems stand for, those that are only counted as well. */
export function faultCount(problems: readonly Problem[]): number {
  return problems.reduce((sum, { untold }) => sum + (untold ?? 1), 0);
}

export class Problems {
  readonly #told: Problem[] = [];
  #untold = 0;

  /** All faults found so far. */
  get count(): number {
    return this.#told.length + this.#untold;
  }

  /** One more; it is put in words only where it will be told. */
  add(inWords: () => Problem): void {
    if (this.#told.length < TOLD_MAX) this.#told.push(inWords());
    else this.#untold += 1;
  }

  /** Those of a part, in words already. */
  addAll(problems: readonly Problem[]): void {
    for (const problem of problems) {
      if (problem.untold !== undefined) this.#untold += problem.untold;
      else this.add(() => problem);
    }
  }

  /** What is told; the last one counts the rest. */
  get list(): readonly Problem[] {
    if (this.#untold === 0) return this.#told;
    const message = `and ${this.#untold.toLocaleString('en')} more like these`;
    const cure = 'Correct those named here first; the others are named after that';
    return [...this.#told, { path: '', message, cure, untold: this.#untold }];
  }
}

/** The problems that are told of all these. */
export function toldOf(problems: readonly Problem[]): readonly Problem[] {
  const some = new Problems();
  some.addAll(problems);
  return some.list;
}
