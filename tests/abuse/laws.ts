// What every entrance owes whatever comes in: it never throws, it says what is wrong and how to mend it,
// in bounded words, and what it takes is sound, finite, and the same when it is written and read again.
import { isDeepStrictEqual } from 'node:util';
import type { Outcome, Problem } from '#shared/outcome.ts';
import { PROBLEMS_MAX } from '#shared/reading/problems.ts';

/** Most characters told of one text, however long it is: a hundred problems of a few sentences. */
const WORDS_MAX = 150_000;

/** One case that broke nothing. */
export interface Ran {
  readonly text: string;
  /** Whether anything of it was taken. */
  readonly taken: boolean;
}

/** A law broken, with what broke it. */
export class Broken extends Error {
  constructor(law: string, detail: unknown) {
    super(`${law}: ${JSON.stringify(detail)?.slice(0, 2000)}`);
  }
}
export function must(holds: boolean, law: string, detail: unknown): void {
  if (!holds) throw new Broken(law, detail);
}

export function readable(problems: readonly Problem[]): void {
  must(
    problems.length <= PROBLEMS_MAX + 1,
    'at most a hundred problems are named',
    problems.length,
  );
  let words = 0;
  for (const { path, message, cure } of problems) {
    must(message.trim() !== '' && cure.trim() !== '', 'a problem has words and a cure', [
      path,
      message,
    ]);
    words += path.length + message.length + cure.length;
  }
  must(words <= WORDS_MAX, 'words are bounded', words);
}

export function figures(value: unknown): void {
  if (typeof value === 'number') {
    must(
      Number.isFinite(value) && !Object.is(value, -0),
      'a figure taken is finite and no -0',
      String(value),
    );
  } else if (typeof value === 'object' && value !== null)
    for (const part of Object.values(value)) figures(part);
}

/** Holds the laws of an outcome. @returns the value where there is one. */
export function sound<T>(outcome: Outcome<T>): T | undefined {
  if (outcome.ok) {
    figures(outcome.value);
    return outcome.value;
  }
  must(outcome.problems.length > 0, 'a refusal has a reason', null);
  readable(outcome.problems);
  return undefined;
}

export function same(read: unknown, again: unknown): void {
  must(isDeepStrictEqual(read, again), 'what is written reads back equal', [read, again]);
}
