// The clock of a search: when it began, when it must end, whether somebody asked it to stop. Runs any
// work that goes by steps in slices short enough to hear that. What tells the time can be given, so that a
// test counts steps of work and comes to the same end on any machine.

import type { Problem } from '#shared/outcome.ts';
import { atOnce, MULTIPLICATIONS_PER_PART, type Parts } from '#engine/doubt/parts.ts';

/** What the caller may send into a search. */
export type Signal = 'stop' | undefined;
/** A search that yields snapshots on the way and ends with a result. */
export type Run<Progress, Result> = Generator<Progress, Result, Signal>;

/** Work that rests every so often, so that a stop is heard between, and tells nothing on the way. */
export type Resting<Result> = Parts<Result>;

/** Work done between two rests, in multiplications or what takes as long: about a millisecond. */
export const EFFORT_AT_ONCE = MULTIPLICATIONS_PER_PART;

/** Counts work as it is done, so that it rests by its amount and not by the clock. */
export class Effort {
  /** Most that was ever done between two rests. */
  largest = 0;
  /** All that was done. */
  total = 0;
  #since = 0;

  spend(amount: number): void {
    this.total += amount;
    this.pass(amount);
  }

  /** Work that takes time but is no measure of how far a search is: it counts for rests alone. */
  pass(amount: number): void {
    this.#since += amount;
    if (this.#since > this.largest) this.largest = this.#since;
  }

  /** Whether so much was done that it is time to rest. */
  get due(): boolean {
    return this.#since > EFFORT_AT_ONCE;
  }

  /** Rests: what is done from here on counts from nothing. */
  rested(): void {
    this.#since = 0;
  }
}

/** Lots gone through between two rests, where all of them are. */
export const LOTS_AT_ONCE = 64;

/** Time after which proving is given up where the caller names none, ms. */
export const TIME_LIMIT_MS = 20_000;
/** Longest work between two snapshots, ms. */
const SLICE_MS = 8;

/** Tells the time, ms since some moment; never runs back. */
export type Now = () => number;
const machineTime: Now = () => performance.now();

/** How long a question may take. */
export interface Timing {
  /** Give up after this long and answer with what is found, ms. */
  readonly timeLimitMs?: number;
  /** What tells the time; that of the machine where absent. */
  readonly now?: Now;
}

export class Clock {
  readonly started: number;
  readonly deadline: number;
  stopped = false;
  /** When somebody last could say stop. Parts that follow each other in one question share it. */
  heard: number;
  readonly now: Now;

  constructor(limitMs = TIME_LIMIT_MS, now = machineTime) {
    this.now = now;
    this.started = now();
    this.heard = this.started;
    this.deadline = this.started + limitMs;
  }

  /** Time since the start, ms. */
  get milliseconds(): number {
    return this.now() - this.started;
  }

  /** Whether it is time to hear whether somebody says stop. */
  get isUnheard(): boolean {
    return this.now() - this.heard > SLICE_MS;
  }

  /** Whether to do no more work. */
  get over(): boolean {
    return this.stopped || this.now() > this.deadline;
  }
}

/** How long a part of a run may take, and what it reports on the way, made from `Known`. */
export interface RunBudget<Progress, Known extends readonly unknown[] = []> {
  readonly clock: Clock;
  /** Time to stop, as the clock tells it, ms. */
  readonly until: number;
  readonly progress: (...known: Known) => Progress;
}

/** Tells a snapshot and hears whether to stop. */
export function* pause<Progress>(clock: Clock, snapshot: Progress): Run<Progress, void> {
  if ((yield snapshot) === 'stop') clock.stopped = true;
  clock.heard = clock.now();
}

/** Work that goes by steps. */
export interface Work {
  /** One step of a few milliseconds at most; returns whether anything is left. */
  step(): boolean;
  /** Best result so far; changes identity when it gets better. */
  readonly incumbent: unknown;
}

/**
 * Works until done, out of time or stopped; a snapshot at every better result and every slice.
 * @param until time to stop, as the clock tells it, ms.
 */
export function* run<Progress>(
  clock: Clock,
  work: Work,
  until: number,
  snapshot: () => Progress,
): Run<Progress, void> {
  let best = work.incumbent;
  while (work.step()) {
    const now = clock.now();
    const better = work.incumbent !== best;
    if (better || now - clock.heard > SLICE_MS) {
      best = work.incumbent;
      yield* pause(clock, snapshot());
    }
    if (clock.stopped || now > until) return;
  }
  if (work.incumbent !== best) yield* pause(clock, snapshot());
}

/**
 * Runs a part to its end, a snapshot at every slice; `null` where it was stopped or out of time.
 * @param until time to stop, as the clock tells it, ms; none for what nothing can be said without.
 */
export function* listening<Progress, T>(
  clock: Clock,
  part: Resting<T>,
  snapshot: () => Progress,
  until = Infinity,
): Run<Progress, T | null> {
  for (let step = part.next(); ; step = part.next()) {
    if (step.done) return step.value;
    const now = clock.now();
    if (clock.stopped || now > until) return null;
    if (now - clock.heard <= SLICE_MS) continue;
    yield* pause(clock, snapshot());
    if (clock.stopped) return null;
  }
}

/**
 * Runs a part to its end whatever is heard, a snapshot at every slice: what a search has found is not told without
 * what this part says of it. Where a stop or the end of the time comes first, it goes there at once.
 */
export function* completed<Progress, T>(
  clock: Clock,
  part: Resting<T>,
  snapshot: () => Progress,
): Run<Progress, T> {
  let step = part.next();
  for (; !step.done && !clock.over; step = part.next()) {
    if (clock.isUnheard) yield* pause(clock, snapshot());
  }
  return step.done ? step.value : atOnce(part);
}

/** Runs a search as a part of another run: its snapshots are told as `tell` puts them, and a stop ends both. */
export function* relayed<P, Q, Result>(
  clock: Clock,
  search: Run<P, Result>,
  tell: (snapshot: P) => Q,
): Run<Q, Result> {
  let step = search.next();
  while (!step.done) {
    yield* pause(clock, tell(step.value));
    step = search.next(clock.stopped ? 'stop' : undefined);
  }
  return step.value;
}

/** The problem reported where a question is stopped before anything of its answer is known. */
export const STOPPED: Problem = {
  path: '',
  message: 'the question was stopped before it was answered',
  cure: 'Ask again',
};

/** A run that nobody listens to, as a part that rests where it would tell something. */
export function* resting<Progress, Result>(search: Run<Progress, Result>): Resting<Result> {
  for (let step = search.next(); ; step = search.next()) {
    if (step.done) return step.value;
    yield;
  }
}

/** Runs a search to its end without listening to its snapshots. */
export function finished<Progress, Result>(search: Run<Progress, Result>): Result {
  for (;;) {
    const step = search.next();
    if (step.done) return step.value;
  }
}
