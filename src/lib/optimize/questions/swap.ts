// A hop is out of stock: what comes closest to the schedule without it. Everything else stays to the
// gram; the replacement is dosed anew over stages and forms. First every hop is tried alone with free
// doses, then the best, and pairs that beat them, are dosed as they would be weighed. Every figure of
// closeness is proven: a least largest change of an axis, not the end of a local search.
import { isAxisWish } from '#shared/answers/wish-subject.ts';
import { AXES } from '#shared/ids.ts';
import type { Proof } from '#shared/answers/answer.ts';
import type { Replacement, SwapAnswer, Tried } from '#shared/answers/comparison.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { Brief, Swap } from '#shared/schemas/brief.ts';
import { intensityOf } from '#engine/predict/smell.ts';
import { findHop } from '#engine/lot/composition.ts';
import { defaultValues, modelFor, type Model } from '#engine/tables/model.ts';
import type { Sampling } from '#engine/doubt/sampling.ts';
import { varietyKey } from '#optimize/problem/candidates.ts';
import { checked } from '#optimize/problem/check.ts';
import { Closest, PROVEN_MISS } from '#optimize/search/closest.ts';
import { heardStating } from '#optimize/problem/stating.ts';
import { REQUIRED_G_PER_L } from '#optimize/problem/problem.ts';
import {
  axisChanges,
  briefAround,
  profileOf,
  sameProfile,
  totalsChange,
  type Profile,
} from '#optimize/problem/profile.ts';
import { ibuWindow } from '#optimize/problem/ibu-window.ts';
import { gapOf } from '#optimize/search/proof.ts';
import { restrictedTo } from '#optimize/problem/restrict.ts';
import { PROVEN_SLACK } from '#optimize/search/search.ts';
import { Clock, type Run } from '#optimize/pacing/clock.ts';
import { singles, splits, type SwapProgress, type Trial, type Trying } from './trials.ts';
import { worstMiss } from '#optimize/problem/evaluation.ts';
import { NO_DOSES, type Doses } from '#optimize/problem/doses.ts';

/** Single replacements and two-hop splits shown. */
const SINGLES_SHOWN = 5;
const SPLITS_SHOWN = 3;
/** A split is worth two hops where it is closer than the best single one by this, in intensity. */
const SPLIT_GAIN = 0.02;

export type { SwapProgress };

export interface SwapOptions {
  readonly band?: Sampling;
  readonly timeLimitMs?: number;
}

interface SwapJob extends Trying {
  readonly model: Model;
  readonly swap: Swap;
  readonly brief: Brief;
  readonly profile: Profile;
  readonly options: SwapOptions;
}

/** The least a swap doses where the limits leave it open: the least that counts as an addition at all. */
function smallestAddition({ limits, batch }: Swap): { smallest_addition_g?: number } {
  const given = limits.smallest_addition_g ?? limits.weigh_step_g;
  return given === undefined ? { smallest_addition_g: REQUIRED_G_PER_L * batch.beer_l } : {};
}

/** The brief of a swap: keep the rest, reach the same profile. Fails where the hop is not there. */
function swapBrief(model: Model, swap: Swap, profile: Profile): Outcome<Brief> {
  const key = varietyKey(model, swap.replace);
  const isReplaced = (hop: string) => varietyKey(model, hop) === key;
  const { additions, limits, candidates } = swap;
  if (!additions.some((a) => a.grams > 0 && isReplaced(a.hop))) {
    const used = [...new Set(additions.filter((a) => a.grams > 0).map((a) => a.hop))];
    return failure({
      path: 'replace',
      message: `"${swap.replace}" is not in the schedule`,
      cure: `Name one of its hops: ${used.join(', ')}`,
    });
  }
  const ban = candidates === 'table' && findHop(model, swap.replace) ? [swap.replace] : [];
  return success(
    briefAround(
      model,
      swap,
      {
        target: sameProfile(profile),
        keep: additions.filter((a) => !isReplaced(a.hop)),
        minimise: 'weight',
        candidates,
      },
      {
        ...limits,
        ...smallestAddition(swap),
        ibu_at_most: limits.ibu_at_most ?? ibuWindow(profile).atMost,
        ban: [...limits.ban, ...ban],
      },
    ),
  );
}

interface DosedReplacement {
  readonly doses: Doses;
  readonly merit: number;
  readonly bound: number;
}

/** Doses a few hops as they would be weighed, as close as can be. */
function* dosed(
  { problem, clock }: SwapJob,
  trial: Trial,
  progress: () => SwapProgress,
): Run<SwapProgress, DosedReplacement | null> {
  const { problem: small, inWhole } = restrictedTo(problem, trial.varieties);
  const closest = new Closest(small, trial.bound);
  yield* closest.searching(clock, progress);
  const { doses, merit, bound } = closest;
  return doses && { doses: inWhole(doses), merit, bound: Math.min(bound, merit) };
}

function proofOf({ merit, bound }: DosedReplacement): Proof {
  const status = merit - bound <= PROVEN_MISS * (1 + 1e-6) ? 'optimal' : 'within_gap';
  return { status, lower_bound: bound, gap: merit - bound <= 1e-9 ? 0 : gapOf(merit, bound) };
}

function replacementOf(
  { model, brief, problem, profile, options }: SwapJob,
  found: DosedReplacement,
): Replacement {
  const { blend } = checked(model, brief, problem, found.doses, options.band);
  const changes = axisChanges(model, profile, blend, defaultValues(model)['aroma.jnd']);
  const hops = found.doses.columns.map((j) => problem.varieties[problem.columns[j]!.variety]!);
  return {
    ...blend,
    misses: blend.misses.filter((m) => !isAxisWish(m.wish)),
    hops: [...new Set(hops)],
    difference: found.merit,
    unnoticed: AXES.every((axis) => !changes[axis].noticeable),
    changes,
    totals_change: totalsChange(profile.totals, blend.totals),
    proof: proofOf(found),
  };
}

/** Unnoticed ones by weight, then by difference; differences that are the same by weight. */
export function inOrder(a: Replacement, b: Replacement): number {
  if (a.unnoticed !== b.unnoticed) return a.unnoticed ? -1 : 1;
  const apart = a.difference - b.difference;
  if (!a.unnoticed && Math.abs(apart) > PROVEN_SLACK) return apart;
  return a.totals.hop_g - b.totals.hop_g || apart;
}

/**
 * Replaces a hop of a schedule. Yields its progress; send 'stop' to end with what is found.
 * Differences count the axes the schedule reaches at 0.5 or more, and of the others what exceeds 0.5;
 * a rise of the bitterness beyond 10 % or 2 IBU (or `limits.ibu_at_most`) counts as a difference of 1
 * per 5 IBU. Fails where the hop is not in the schedule or no candidate can be used.
 */
export function* swapping(
  base: Model,
  swap: Swap,
  options: SwapOptions = {},
): Run<SwapProgress, Outcome<SwapAnswer>> {
  const model = modelFor(base, swap);
  const clock = new Clock(options.timeLimitMs);
  const profiled = profileOf(model, swap);
  if (!profiled.ok) return profiled;
  const profile = profiled.value;
  const stated = swapBrief(model, swap, profile);
  if (!stated.ok) return stated;
  const brief = stated.value;
  const { candidates } = brief;
  const reading = () => ({
    phase: 'single' as const,
    done: 0,
    of: candidates === 'table' ? model.hops.length : candidates.length,
    milliseconds: clock.milliseconds,
  });
  const posed = yield* heardStating(model, brief, clock, reading);
  if (!posed.ok) return posed;
  const job: SwapJob = { model, swap, brief, problem: posed.value, profile, clock, options };

  const alone = yield* singles(job);
  const useful = alone.filter((t) => t.doses && t.doses.columns.length > 0);
  const shown: Replacement[] = [];
  const dosing = () => ({
    phase: 'dosing' as const,
    done: shown.length,
    of: SINGLES_SHOWN + SPLITS_SHOWN,
    milliseconds: clock.milliseconds,
  });
  const jnd = defaultValues(model)['aroma.jnd'];
  const values = defaultValues(model);
  // No blend further off than this can go unnoticed.
  const noticed = Math.max(
    ...AXES.map((axis) => {
      const more = intensityOf(profile.signals[axis] * (1 + jnd), values);
      return more - profile.intensities[axis];
    }),
  );
  for (const trial of [...useful].sort((a, b) => a.bound - b.bound)) {
    const ranked = shown.map((r) => r.difference).sort((a, b) => a - b);
    const enough = ranked[SINGLES_SHOWN - 1] ?? Infinity;
    if (trial.bound > Math.max(enough, shown.length ? noticed : 0) && enough < Infinity) break;
    if (clock.over && shown.length > 0) break;
    const found = yield* dosed(job, trial, dosing);
    if (found && found.doses.columns.length > 0) shown.push(replacementOf(job, found));
  }
  shown.sort(inOrder).splice(SINGLES_SHOWN);

  const notes: string[] = [];
  const best = Math.min(worstMiss(job.problem, NO_DOSES), ...shown.map((r) => r.difference));
  const oneHop = (swap.limits.hops_at_most ?? 2) < 2;
  const untried = job.problem.varieties.length - alone.length;
  // Whether all was looked at: what is not among the blends then comes no closer.
  let complete = untried === 0 && !(clock.over && useful.length > 0);
  if (!oneHop && best > SPLIT_GAIN && !shown[0]?.unnoticed) {
    const { pairs, left } = yield* splits(job, alone, best - SPLIT_GAIN, SPLITS_SHOWN);
    for (const trial of pairs) {
      if (clock.over) break;
      const found = yield* dosed(job, trial, dosing);
      if (!found) continue;
      const split = replacementOf(job, found);
      if (split.hops.length > 1 && split.difference < best) shown.push(split);
    }
    complete &&= left === 0 && pairs.length === 0;
    if (complete) notes.push(`No two hops together come closer by ${SPLIT_GAIN} or more`);
    if (left > 0) notes.push(`Time ran out with ${left} pairs of hops not tried`);
  }
  if (untried > 0) notes.push(`Time ran out with ${untried} hops not tried alone`);
  // No hop alone is closer than its trial proved, no pair by more than the gain that was asked of it.
  const bound = Math.min(...alone.map((t) => t.bound), best - (oneHop ? 0 : SPLIT_GAIN));
  const proven = complete ? Math.max(0, bound) : 0;
  return success(answerOf(job, shown.sort(inOrder), alone, proven, notes));
}

/** @param proven largest change no replacement stays below; 0 where not all were tried. */
function answerOf(
  { swap, brief, problem, profile, clock }: SwapJob,
  blends: readonly Replacement[],
  alone: readonly Trial[],
  proven: number,
  found: readonly string[],
): SwapAnswer {
  const notes = [...found];
  const without = worstMiss(problem, NO_DOSES);
  const { smallest_addition_g: smallest } = smallestAddition(swap);
  if (smallest !== undefined) {
    notes.push(`limits.smallest_addition_g is not given: ${smallest} g, 0.1 g/L, is taken`);
  }
  notes.push(`Left out without a replacement, the largest change is ${without.toFixed(2)}`);
  if (blends.length === 0) {
    notes.push(
      proven > 0
        ? 'No candidate comes closer than leaving the hop out'
        : 'No replacement was found in time; whether one comes closer was not settled',
    );
  }
  const keep = new Set(brief.keep);
  const tries = alone.map(({ varieties, bound, found: at_most }): Tried => ({
    hop: problem.varieties[varieties[0]!]!,
    at_least: bound,
    at_most,
  }));
  const [first] = blends;
  const none: Proof = { status: 'closest', lower_bound: proven, gap: gapOf(without, proven) };
  const proof = first?.proof ?? none;
  return {
    ...proof,
    milliseconds: clock.milliseconds,
    original: { additions: swap.additions, totals: profile.totals, axes: profile.intensities },
    replaced: swap.additions.filter((a) => !keep.has(a) && a.grams > 0),
    blends,
    tried: tries,
    why: { left_out: problem.leftOut, notes },
  };
}
