// A hop is out of stock: what comes closest to the schedule without it. Everything else stays to the
// gram; one hop in one form takes its place, at the stages where it stood, or two hops on a line each
// where that comes noticeably closer; another stage only where nothing comes near otherwise. First
// every hop is tried alone with free doses, then the best are dosed as they would be weighed. Every
// figure of closeness is proven: a least largest change of an axis, not the end of a local search.
import { least, rollup } from 'd3';
import type { Proof } from '#shared/answers/answer.ts';
import type { Replacement, SwapAnswer, Tried } from '#shared/answers/comparison.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { Grams } from '#shared/units.ts';
import type { Swap } from '#shared/schemas/asked.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { findHop } from '#engine/lot/composition.ts';
import { modelFor, type Model } from '#engine/tables/model.ts';
import { varietyKey } from '#optimize/problem/candidates.ts';
import { heardStating } from '#optimize/problem/stating.ts';
import { REQUIRED_G_PER_L, type BlendProblem } from '#optimize/problem/problem.ts';
import {
  briefAround,
  noticeableStep,
  profileOf,
  sameProfile,
  type Profile,
} from '#optimize/problem/profile.ts';
import { ibuWindow } from '#optimize/problem/ibu-window.ts';
import { gapOf } from '#optimize/search/proof.ts';
import { Clock, type Run } from '#optimize/pacing/clock.ts';
import { LINES_AT_MOST } from './places.ts';
import { ranked, type Ranking } from './ranking.ts';
import {
  replacementOf,
  seeking,
  type SwapFindings,
  type SwapJob,
  type SwapOptions,
} from './seeking.ts';
import { type Singles, type SwapProgress } from './trials.ts';
import { worstMiss } from '#optimize/problem/evaluation.ts';
import { NO_DOSES } from '#optimize/problem/doses.ts';

export type { SwapOptions, SwapProgress };

/** The least a swap doses where the limits leave it open: the least that counts as an addition at all. */
function smallestAddition({ limits, batch }: Swap): { smallest_addition_g?: Grams } {
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
  if (limits.require.length > LINES_AT_MOST) {
    return failure({
      path: 'limits.require',
      message: `${limits.require.length} hops are required on the ${LINES_AT_MOST} lines that take the place of one hop`,
      cure: `Require at most ${LINES_AT_MOST}`,
    });
  }
  const { atLeast, atMost } = ibuWindow(profile);
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
        ibu_at_least: limits.ibu_at_least ?? atLeast,
        ibu_at_most: limits.ibu_at_most ?? atMost,
        ban: [...limits.ban, ...ban],
      },
    ),
  );
}

/**
 * Replaces a hop of a schedule. Yields its progress; send 'stop' to end with what is found.
 * Differences count the axes the schedule reaches at 0.5 or more, and of the others what exceeds 0.5;
 * bitterness further off than 10 % or 2 IBU (or than `limits` allow) counts as a difference of 1 per
 * 5 IBU. Fails where the hop is not in the schedule or no candidate can be used.
 */
export function* swapping(
  base: Model,
  swap: Swap,
  options: SwapOptions = {},
): Run<SwapProgress, Outcome<SwapAnswer>> {
  const model = modelFor(base, swap);
  const clock = new Clock(options.timeLimitMs, options.now);
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
  const keep = new Set(brief.keep);
  const replaced = swap.additions.filter((a) => !keep.has(a) && a.grams > 0);
  const ranking: Ranking = {
    removed: replaced,
    unnoticed: noticeableStep(model, profile),
    byCost: profile.totals.cost !== null,
  };
  const problem = posed.value;
  const job: SwapJob = {
    model,
    swap,
    brief,
    problem,
    profile,
    clock,
    replaced,
    ranking,
    options,
    predicted: new Map(),
  };
  return success(yield* answerOf(job, yield* seeking(job)));
}

/** Of each hop tried alone the form that came closest, closest first; none of a hop that time ended before. */
function triedAlone(problem: BlendProblem, { trials }: Singles): Tried[] {
  const closest = rollup(
    trials.filter(({ found }) => found < Infinity),
    (own) => least(own, (a, b) => a.found - b.found)!,
    (t) => problem.varieties[t.varieties[0]!]!,
  );
  const tried = [...closest].map(([hop, t]) => ({ hop, at_least: t.bound, at_most: t.found }));
  return tried.sort((a, b) => a.at_most - b.at_most);
}

function* answerOf(
  job: SwapJob,
  { drafts, alone, proven, notes: found }: SwapFindings,
): Run<SwapProgress, SwapAnswer> {
  const { swap, problem, profile, clock, replaced } = job;
  const shown = ranked(drafts, job.ranking);
  const blends: Replacement[] = [];
  const dosing = () => ({
    phase: 'dosing' as const,
    done: blends.length,
    of: shown.length,
    milliseconds: clock.milliseconds,
  });
  let untold = 0;
  for (const draft of shown) {
    // Who says stop waits for no more than one prediction.
    if (clock.stopped && blends.length > 0 && !job.predicted.has(draft)) {
      untold += 1;
      continue;
    }
    blends.push(yield* replacementOf(job, draft, dosing));
  }
  const notes = [...found];
  if (untold > 0) notes.push(`Stopped before ${untold} more replacements were worked out in full`);
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
  const none: Proof = { status: 'closest', lower_bound: proven, gap: gapOf(without, proven) };
  return {
    ...(blends[0]?.proof ?? none),
    milliseconds: clock.milliseconds,
    original: { additions: swap.additions, totals: profile.totals, axes: profile.intensities },
    replaced,
    blends,
    tried: triedAlone(problem, alone),
    why: { left_out: problem.leftOut, notes },
  };
}
