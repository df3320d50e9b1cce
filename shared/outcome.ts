// Failure as a value: what was wrong, where, and how to mend it; and the words of a fault that was thrown.

/** One thing wrong with an input. */
export interface Problem {
  /** Path inside the input, like `additions[0].grams`; empty for the input as a whole. */
  readonly path: string;
  /** What is wrong, one sentence without a full stop. */
  readonly message: string;
  /** What to do about it, one sentence without a full stop. */
  readonly cure: string;
  /** How many further faults this problem counts (shared/reading/problems.ts); absent where it names one. */
  readonly further?: number;
}

export type Outcome<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly problems: readonly Problem[] };

export function success<T>(value: T): Outcome<T> {
  return { ok: true, value };
}

export function failure<T>(...problems: Problem[]): Outcome<T> {
  return { ok: false, problems };
}

/** What is wrong and what to do about it, where the place is plain to see. */
export function advice({ message, cure }: Omit<Problem, 'path'>): string {
  return `${message}. ${cure}.`;
}

/** The sentence shown to people: where, what, cure. `source` names the file or field group, if any. */
export function sentence(source: string, problem: Problem): string {
  const where = [source, problem.path].filter((part) => part !== '').join(', ');
  return `${where}: ${advice(problem)}`;
}

/** What a caught exception says of itself, to be told to people or passed on in a message. */
export function reasonOf(fault: unknown): string {
  return fault instanceof Error ? fault.message : String(fault);
}
