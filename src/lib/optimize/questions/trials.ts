// The first look at replacements: how close single hops, and pairs, can come with free doses on the
// lines they may take. Each trial is a small exact search that ends when its gap no longer matters, so
// that a whole table takes well under a second; its bound holds for whole weighing steps too.
import { sort } from 'd3';
import type { FormId } from '#shared/ids.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { restrictedToColumns } from '#optimize/problem/restrict.ts';
import { Search } from '#optimize/search/search.ts';
import { pause, run, type Clock, type Run, type RunBudget } from '#optimize/pacing/clock.ts';
import { worstMiss } from '#optimize/problem/evaluation.ts';
import { NO_DOSES, type Doses } from '#optimize/problem/doses.ts';
import {
  fitsLines,
  LINES_AT_MOST,
  lineSets,
  placesOf,
  sharedLineSets,
  type Place,
} from './places.ts';

/** How sure the first trial is of a difference, in intensity: far below what anybody notices. */
const TRIAL_GAP = 0.02;
/** Nodes after which a trial ends with the gap it has; seen: tens. */
const TRIAL_NODES = 400;
/** Columns of one hop in one form from which on the sets of lines are too many to go through. */
const COLUMNS_SET_BY_SET = 12;
/** Share of the time after which no more pairs are tried, so that the found ones can be dosed. */
const TRYING_SHARE = 0.7;

export interface SwapProgress {
  readonly phase: 'single' | 'split' | 'dosing';
  readonly done: number;
  readonly of: number;
  readonly milliseconds: number;
}

/** What all trials of one swap share. */
export interface Trying {
  readonly problem: BlendProblem;
  readonly clock: Clock;
}

/** What a few hops can do on the lines they may take, doses in any fraction of a gram. */
export interface Trial {
  readonly varieties: readonly number[];
  /** The columns it may dose, for the best it found. */
  readonly columns: readonly number[];
  /** Proven not below, and found; `null` doses where nothing closer than the cutoff was found. */
  readonly bound: number;
  readonly found: number;
  readonly doses: Doses | null;
}

type LinesTrial = Omit<Trial, 'varieties'>;
type TrialBudget = RunBudget<SwapProgress>;

/** Doses in any fraction of a gram: a bound on what weighing can do. */
function freely(problem: BlendProblem): BlendProblem {
  return { ...problem, step: 0, least: 0 };
}

/** Closest some columns come with free doses, as far as below `cutoff`; what is found where time ends it. */
function* tried(
  problem: BlendProblem,
  columns: readonly number[],
  cutoff: number,
  { clock, until, progress }: TrialBudget,
): Run<SwapProgress, LinesTrial> {
  const { problem: small, inWhole } = restrictedToColumns(problem, columns);
  const search = new Search(small, 'slack', 0, cutoff);
  search.offer(NO_DOSES);
  const trial = {
    incumbent: null,
    step: () => {
      if (!search.step() || search.nodes >= TRIAL_NODES) return false;
      const { bound, incumbent } = search.state;
      return bound < cutoff && !(incumbent && incumbent.merit - bound <= TRIAL_GAP);
    },
  };
  yield* run(clock, trial, until, progress);
  const { bound, incumbent } = search.state;
  const closer = incumbent && incumbent.merit < cutoff ? incumbent : null;
  return {
    columns,
    bound: Math.min(bound, incumbent?.merit ?? Infinity, cutoff),
    found: closer?.merit ?? Infinity,
    doses: closer && inWhole(closer.doses),
  };
}

/** The closest of some sets of lines, each tried as far as it may better the one before. */
function* triedSets(
  problem: BlendProblem,
  sets: Iterable<readonly number[]>,
  cutoff: number,
  budget: TrialBudget,
): Run<SwapProgress, LinesTrial> {
  const { clock, until, progress } = budget;
  let best: LinesTrial = { columns: [], bound: cutoff, found: Infinity, doses: null };
  let bound = cutoff;
  for (const columns of sets) {
    if (clock.isUnheard) yield* pause(clock, progress());
    // Of the sets that are left nothing is proven.
    if (clock.stopped || clock.now() > until) return { ...best, bound: 0 };
    const trial = yield* tried(problem, columns, Math.min(cutoff, best.found), budget);
    bound = Math.min(bound, trial.bound);
    if (trial.doses) best = trial;
  }
  return { ...best, bound };
}

/**
 * The same where there are many sets: first all their columns at once, which no set can beat, and the
 * sets only where that comes close enough and takes more lines than there may be.
 */
function* triedTogether(
  problem: BlendProblem,
  columns: readonly number[],
  sets: Iterable<readonly number[]>,
  cutoff: number,
  budget: TrialBudget,
): Run<SwapProgress, LinesTrial> {
  const all = yield* tried(problem, columns, cutoff, budget);
  if (!all.doses) return all;
  if (fitsLines(problem, all.doses)) return { ...all, columns: all.doses.columns };
  const trial = yield* triedSets(problem, sets, cutoff, budget);
  return { ...trial, bound: Math.max(trial.bound, all.bound) };
}

/** What trying every hop alone gave. */
export interface Singles {
  /** One for each hop and form that has a place, closest first. */
  readonly trials: readonly Trial[];
  /** Hops not tried for want of time. */
  readonly left: number;
}

/** Which places of a hop are tried, and how far. */
export interface Places {
  /** Where it may stand; `null`: anywhere. */
  readonly stages: ReadonlySet<string> | null;
  /** Forms of the hop that is gone: the first choice where a hop comes in one of them. */
  readonly forms: ReadonlySet<FormId>;
  /** A trial has to come closer than this to be of use. */
  readonly closer: number;
  /** What one form must come closer than another to be tried in its place, in intensity. */
  readonly asNear: number;
}

/** Tries every hop alone, in one form or, where that comes closer or none is the first choice, more. */
export function* singles(
  { problem, clock }: Trying,
  { stages, forms, closer, asNear }: Places,
): Run<SwapProgress, Singles> {
  const free = freely(problem);
  const without = worstMiss(free, NO_DOSES) + 1e-9;
  const of = problem.varieties.length;
  const trials: Trial[] = [];
  let done = 0;
  for (; done < of && !clock.over; done += 1) {
    const progress = (count: number) => {
      const { milliseconds } = clock;
      return { phase: 'single' as const, done: count, of, milliseconds };
    };
    let cutoff = Math.min(closer, without);
    const own: Trial[] = [];
    const places = holdsRequired(problem, [done]) ? placesOf(problem, done, stages) : [];
    const isFirst = ({ form }: Place) => forms.has(form);
    const room = places.some(isFirst) ? -asNear : asNear;
    for (const place of sort(places, (p) => (isFirst(p) ? 0 : 1))) {
      const budget = { clock, until: clock.deadline, progress: () => progress(done) };
      const trial = yield* triedPlace(free, place, cutoff, budget);
      own.push({ ...trial, varieties: [done] });
      if (trial.doses?.columns.length) cutoff = Math.min(cutoff, trial.found + room);
      if (cutoff <= 0) break;
    }
    trials.push(...own);
    yield* pause(clock, progress(done + 1));
  }
  return { trials: trials.sort((a, b) => a.found - b.found), left: of - done };
}

/** Whether all required hops are among these. */
function holdsRequired({ required }: BlendProblem, varieties: readonly number[]): boolean {
  return required.every((v) => varieties.includes(v));
}

function* triedPlace(
  free: BlendProblem,
  place: Place,
  cutoff: number,
  budget: TrialBudget,
): Run<SwapProgress, LinesTrial> {
  const { columns } = place;
  // Of so many sets not each can be tried: a search counts the lines.
  if (columns.length > COLUMNS_SET_BY_SET) {
    const counted = { ...free, additionsAtMost: Math.min(free.additionsAtMost, LINES_AT_MOST) };
    const trial = yield* tried(counted, columns, cutoff, budget);
    return trial.doses ? { ...trial, columns: trial.doses.columns } : trial;
  }
  return columns.length > LINES_AT_MOST
    ? yield* triedTogether(free, columns, lineSets(place), cutoff, budget)
    : yield* triedSets(free, lineSets(place), cutoff, budget);
}

/**
 * The `count` closest pairs of hops, a line each, that are closer than `start`; closest first. Goes
 * over all pairs, the most promising hops first, and drops a pair as soon as it is proven not to beat
 * the ones found: nothing is lost by it.
 * @param order hops as they came out alone, each once.
 */
export function* splits(
  { problem, clock }: Trying,
  order: readonly number[],
  stages: ReadonlySet<string>,
  start: number,
  count: number,
): Run<SwapProgress, { pairs: Trial[]; left: number }> {
  const free = freely(problem);
  const places = order.map((v) => placesOf(problem, v, stages));
  const columns = places.map((own) => own.flatMap((place) => place.columns));
  const of = (order.length * (order.length - 1)) / 2;
  let pairs: Trial[] = [];
  let done = 0;
  const progress = (): SwapProgress => {
    const { milliseconds } = clock;
    return { phase: 'split', done, of, milliseconds };
  };
  const until = clock.started + TRYING_SHARE * (clock.deadline - clock.started);
  for (let b = 1; b < order.length; b += 1) {
    for (let a = 0; a < b; a += 1) {
      if (clock.over || clock.now() > until) return { pairs, left: of - done };
      const cutoff = Math.min(start, pairs[count - 1]?.found ?? Infinity);
      if (cutoff > 0 && holdsRequired(problem, [order[a]!, order[b]!])) {
        const both = [...columns[a]!, ...columns[b]!];
        const sets = sharedLineSets(places[a]!, places[b]!);
        const trial = yield* triedTogether(free, both, sets, cutoff, { clock, until, progress });
        if (trial.doses) {
          const pair = { ...trial, varieties: [order[a]!, order[b]!] };
          pairs = [...pairs, pair].sort((p, q) => p.found - q.found).slice(0, count);
        }
      }
      done += 1;
      if (clock.isUnheard) yield* pause(clock, progress());
    }
  }
  return { pairs, left: 0 };
}
