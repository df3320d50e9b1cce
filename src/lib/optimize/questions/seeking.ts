// Looks for what takes the place of a hop: tries every hop on the lines it may take, doses the best as
// they would be weighed, and goes on to two hops, or to other stages, only where nothing comes near.
import { least } from 'd3';
import { isAxisWish } from '#shared/answers/wish-subject.ts';
import { AXES } from '#shared/ids.ts';
import type { Blend, PointBlend, Proof } from '#shared/answers/answer.ts';
import type { Replacement } from '#shared/answers/comparison.ts';
import type { Swap } from '#shared/schemas/asked.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import { defaultValues, type Model } from '#engine/tables/model.ts';
import type { Sampling } from '#engine/doubt/sampling.ts';
import { additionsOf, checkedPoint, checking } from '#optimize/problem/check.ts';
import { meritOf } from '#optimize/search/primal-heuristic.ts';
import { Closest, PROVEN_MISS } from '#optimize/search/closest.ts';
import { axisChanges, totalsChange, type Profile } from '#optimize/problem/profile.ts';
import { keepsBitterness } from '#optimize/problem/ibu-window.ts';
import { gapOf } from '#optimize/search/proof.ts';
import { Search } from '#optimize/search/search.ts';
import { forgiving } from '#optimize/problem/windows.ts';
import { leastDose, type BlendProblem } from '#optimize/problem/problem.ts';
import { restrictedToColumns } from '#optimize/problem/restrict.ts';
import { completed, run, type Run, type Timing } from '#optimize/pacing/clock.ts';
import { LINES_AT_MOST } from './places.ts';
import { AS_NEAR, isBehind, ranked, type Ranking } from './ranking.ts';
import {
  singles,
  splits,
  type Singles,
  type SwapProgress,
  type Trial,
  type Trying,
} from './trials.ts';
import { worstMiss } from '#optimize/problem/evaluation.ts';
import { NO_DOSES, type Doses } from '#optimize/problem/doses.ts';

/** Trials dosed after the time is over where none is yet: one may be at hand. */
const DOSED_LATE = 3;
/** Replacements shown: single hops, two hops, and hops at stages where the old one did not stand. */
const SINGLES_SHOWN = 5;
const SPLITS_SHOWN = 3;
const ELSEWHERE_SHOWN = 2;

export interface SwapOptions extends Timing {
  readonly band?: Sampling;
}

export interface SwapJob extends Trying {
  readonly model: Model;
  readonly swap: Swap;
  readonly brief: Brief;
  readonly profile: Profile;
  /** The lines of the hop that is gone. */
  readonly replaced: readonly Addition[];
  readonly ranking: Ranking;
  readonly options: SwapOptions;
  /** The replacements predicted so far. */
  readonly predicted: Map<Draft, Replacement>;
}

/** What a replacement has beside its blend. */
type ReplacementFigures = Omit<Replacement, Exclude<keyof Blend, 'proof'>>;

/** A replacement at the defaults alone, and what it was found with. */
export interface Draft extends ReplacementFigures {
  readonly totals: PointBlend['totals'];
  readonly doses: Doses;
}

/**
 * Doses a few hops as they would be weighed, as close as can be; `null` where they take none. More than the old
 * hop weighed is taken only for what somebody can tell: else as little as goes unnoticed.
 */
function* dosed(
  job: SwapJob,
  trial: Trial,
  progress: () => SwapProgress,
): Run<SwapProgress, Draft | null> {
  const { problem: small, inWhole } = restrictedToColumns(job.problem, trial.columns);
  const closest = new Closest(small, trial.bound);
  yield* closest.searching(job.clock, progress);
  if (!closest.doses || closest.doses.columns.length === 0) return null;
  const { merit } = closest;
  const bound = Math.min(closest.bound, merit);
  const draft = drafted(job, inWhole(closest.doses), merit, bound);
  if (!isOverdone(job, draft) || job.clock.over) return draft;
  const asNear = forgiving(small, defaultValues(job.model)['aroma.jnd']);
  const lightest = new Search(asNear, 'objective', 0, 0);
  lightest.offer(closest.doses);
  yield* run(job.clock, lightest, job.clock.deadline, progress);
  const found = lightest.incumbent?.doses ?? closest.doses;
  const doses = inWhole(found.columns.length > 0 ? found : leastOfOne(asNear, closest.doses));
  return drafted(job, doses, worstMiss(job.problem, doses), bound);
}

/** Where nobody could tell that the hop is left out: the least that is weighed, on one of the lines. */
function leastOfOne(problem: BlendProblem, near: Doses): Doses {
  const dose = leastDose(problem);
  const alone = near.columns.map((j) => ({ columns: [j], doses: [dose] }));
  return least(alone, (doses) => meritOf(problem, doses, 'objective', 0)) ?? near;
}

/** Whether it weighs more than the hop that is gone although nobody could tell the difference. */
function isOverdone({ replaced }: SwapJob, { unnoticed, bitterness_kept, added }: Draft): boolean {
  const grams = (of: readonly Addition[]) => of.reduce((sum, a) => sum + a.grams, 0);
  return unnoticed && bitterness_kept && grams(added) > grams(replaced);
}

function proofOf(merit: number, bound: number): Proof {
  const status = merit - bound <= PROVEN_MISS * (1 + 1e-6) ? 'optimal' : 'within_gap';
  return { status, lower_bound: bound, gap: merit - bound <= 1e-9 ? 0 : gapOf(merit, bound) };
}

function drafted(
  { model, brief, problem, profile, replaced }: SwapJob,
  doses: Doses,
  merit: number,
  bound: number,
): Draft {
  const point = checkedPoint(model, brief, additionsOf(problem, brief, doses));
  const changes = axisChanges(model, profile, point, defaultValues(model)['aroma.jnd']);
  const kept = new Set(brief.keep);
  const added = point.additions.filter((a) => !kept.has(a));
  const stages = new Set(added.map(({ stage }) => stage));
  return {
    hops: [...new Set(added.map(({ hop }) => hop))],
    added,
    stages_added: [...stages].filter((stage) => !replaced.some((a) => a.stage === stage)),
    difference: merit,
    unnoticed: AXES.every((axis) => !changes[axis].noticeable),
    bitterness_kept: keepsBitterness(profile, point.totals),
    changes,
    totals_change: totalsChange(profile.totals, point.totals),
    proof: proofOf(merit, bound),
    totals: point.totals,
    doses,
  };
}

/** With its bands; predicted once for a draft. */
export function* replacementOf(
  job: SwapJob,
  draft: Draft,
  progress: () => SwapProgress,
): Run<SwapProgress, Replacement> {
  const known = job.predicted.get(draft);
  if (known) return known;
  const { model, brief, problem, options, clock } = job;
  const { doses, totals: _, ...figures } = draft;
  const judging = checking(model, brief, problem, doses, options.band);
  const { blend } = yield* completed(clock, judging, progress);
  const misses = blend.misses.filter((m) => !isAxisWish(m.wish));
  const replacement = { ...blend, misses, ...figures };
  job.predicted.set(draft, replacement);
  return replacement;
}

/** Doses trials, closest first, until `count` stand before whatever is left; in order. */
function* dosedInOrder(
  job: SwapJob,
  trials: readonly Trial[],
  count: number,
  isOfUse: (draft: Draft) => boolean = () => true,
): Run<SwapProgress, Draft[]> {
  const useful = trials.filter(({ doses }) => doses && doses.columns.length > 0);
  const drafts: Draft[] = [];
  let inOrder: Draft[] = [];
  let [done, late] = [0, 0];
  const dosing = () => ({
    phase: 'dosing' as const,
    done,
    of: useful.length,
    milliseconds: job.clock.milliseconds,
  });
  for (const trial of [...useful].sort((a, b) => a.bound - b.bound)) {
    if (isBehind(trial.bound, count, inOrder, job.ranking)) break;
    if (job.clock.over && (drafts.length > 0 || late >= DOSED_LATE)) break;
    if (job.clock.over) late += 1;
    const draft = yield* dosed(job, trial, dosing);
    done += 1;
    if (draft && isOfUse(draft)) drafts.push(draft);
    inOrder = ranked(drafts, job.ranking);
  }
  const found = inOrder.slice(0, count);
  // Predicted as they are found, so that few are left to predict after a stop.
  for (const draft of found) {
    if (job.clock.over) break;
    yield* replacementOf(job, draft, dosing);
  }
  return found;
}

/** Whether nobody can tell some of the beers from the one before. */
function comesNear(drafts: readonly Draft[], { ranking }: SwapJob): boolean {
  return drafts.some((d) => d.unnoticed || d.difference <= ranking.unnoticed);
}

/** What was tried, and what it came to. */
export interface SwapFindings {
  readonly drafts: readonly Draft[];
  readonly alone: Singles;
  /** Largest change that no replacement stays below; 0 where not all were tried. */
  readonly proven: number;
  readonly notes: readonly string[];
}

/** Looks where the old hop stood: one hop, or two; then anywhere, if nothing comes near. */
export function* seeking(job: SwapJob): Run<SwapProgress, SwapFindings> {
  const { problem, clock, swap, ranking } = job;
  const { unnoticed } = ranking;
  const stages = new Set(job.replaced.map(({ stage }) => stage));
  const forms = new Set(job.replaced.map(({ form }) => form));
  const where = { stages, forms, closer: Infinity, asNear: AS_NEAR };
  const alone = yield* singles(job, where);
  const drafts = yield* dosedInOrder(job, alone.trials, SINGLES_SHOWN);
  const notes: string[] = [];
  const nearest = () => Math.min(worstMiss(problem, NO_DOSES), ...drafts.map((d) => d.difference));
  // Whether all was looked at: what is not among the blends then comes no closer.
  let complete = alone.left === 0 && !(clock.over && alone.trials.length > 0);
  let bound = Math.min(...alone.trials.map((t) => t.bound), nearest());
  if ((swap.limits.hops_at_most ?? LINES_AT_MOST) >= LINES_AT_MOST && !comesNear(drafts, job)) {
    const closer = nearest() - unnoticed;
    const order = [...new Set(alone.trials.map((t) => t.varieties[0]!))];
    const { pairs, left } = yield* splits(job, order, stages, closer, SPLITS_SHOWN);
    const single = nearest();
    const isOfUse = ({ hops, difference }: Draft) => hops.length > 1 && difference < single;
    drafts.push(...(yield* dosedInOrder(job, pairs, SPLITS_SHOWN, isOfUse)));
    complete &&= left === 0;
    bound = Math.min(bound, ...pairs.map((t) => t.bound), Math.max(0, closer));
    if (left > 0) notes.push(`Time ran out before ${left} pairs of hops were tried`);
    else if (complete && pairs.length === 0)
      notes.push('No two hops, one addition each, come noticeably closer');
  }
  if (!comesNear(drafts, job) && !clock.over) {
    const closer = nearest() - unnoticed;
    const anywhere = yield* singles(job, { ...where, stages: null, closer });
    const isOfUse = ({ stages_added: added }: Draft) => added.length > 0;
    drafts.push(...(yield* dosedInOrder(job, anywhere.trials, ELSEWHERE_SHOWN, isOfUse)));
    complete &&= anywhere.left === 0;
    bound = Math.min(bound, ...anywhere.trials.map((t) => t.bound), Math.max(0, closer));
    if (anywhere.left > 0)
      notes.push(`Time ran out before ${anywhere.left} hops were tried at other stages`);
  }
  if (alone.left > 0) notes.push(`Time ran out before ${alone.left} hops were tried alone`);
  return { drafts, alone, proven: complete ? Math.max(0, bound) : 0, notes };
}
