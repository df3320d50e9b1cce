// A design with what was asked beside it: the reasons behind the blend, and the blend that holds in a
// share of lots. The search itself is in design.ts; this adds to its answer.
import type { DesignAnswer, WhyNot } from '#shared/answers/answer.ts';
import { success, type Outcome } from '#shared/outcome.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { designFor } from '#engine/predict/design.ts';
import { modelFor, type Model } from '#engine/tables/model.ts';
import { blendAdditions, checking } from '#optimize/problem/check.ts';
import type { DesignOptions, DesignProgress } from './options.ts';
import { contributionsOf } from '#optimize/sensitivity/contributions.ts';
import { NOTHING_FOUND } from './best-blend.ts';
import { designing } from './design.ts';
import { fixedObjective } from '#optimize/problem/fixed-additions.ts';
import { stating } from '#optimize/problem/stating.ts';
import { asksOfLots } from '#optimize/problem/chance.ts';
import { gapOf } from '#optimize/search/proof.ts';
import {
  dosesOf,
  reasonFor,
  reasonWithout,
  type DesignedFor,
} from '#optimize/sensitivity/reasons.ts';
import { holding, unsoughtFor } from '#optimize/robust/robust.ts';
import type { ChanceState } from '#optimize/robust/chance-search.ts';
import { PROVEN_GAP } from '#optimize/search/incumbent.ts';
import {
  completed,
  finished,
  listening,
  pause,
  relayed,
  Clock,
  TIME_LIMIT_MS,
  type Run,
} from '#optimize/pacing/clock.ts';
import { objectiveOf } from '#optimize/problem/evaluation.ts';

/** Share of the time given to the blends where their reasons are asked for too. */
const BLEND_SHARE = 0.7;
/** Share of that given to the blend for the middle lots where one is asked for that holds in many. */
const MIDDLE_SHARE = 0.4;

type DesignRun<T> = Run<DesignProgress, T>;
/** Runs a part to its end, repeating the last snapshot; `null` where it was stopped. */
type Hear = <T>(part: Generator<undefined, T>) => DesignRun<T | null>;
type Why = { -readonly [K in keyof DesignAnswer['why']]: DesignAnswer['why'][K] };

/** A snapshot of the search for the middle lots without its blend: it is not the blend that was asked for. */
function withoutBlend(progress: DesignProgress): DesignProgress {
  return { ...progress, best: null, objective: null, gap: 1 };
}

/** Time taken where a blend is asked for that holds in a share of lots and no other limit is named, ms. */
const HOLD_TIME_MS = 12_000;

/** The share of lots a brief asks a blend to hold in; `undefined` where there is nothing to hold. */
function shareAsked(brief: Brief): number | undefined {
  const { holds_in_lots_at_least: share = 0 } = brief.limits;
  return asksOfLots(brief) && share > 0 ? share : undefined;
}

/**
 * `designing` with the options `explain` and `holdInShare`. Without the option the share is that of the
 * brief, `limits.holds_in_lots_at_least`; the proof of the first blend is then of all that hold in it.
 */
export function* answering(
  base: Model,
  brief: Brief,
  options: DesignOptions = {},
): DesignRun<Outcome<DesignAnswer>> {
  const model = modelFor(base, brief);
  const share = options.holdInShare ?? shareAsked(brief);
  const limit = options.timeLimitMs ?? (share === undefined ? TIME_LIMIT_MS : HOLD_TIME_MS);
  const clock = new Clock(limit, options.now);
  const blends = options.explain ? limit * BLEND_SHARE : limit;
  const asked = share === undefined ? blends : blends * MIDDLE_SHARE;
  const search = designing(model, brief, { ...options, timeLimitMs: asked });
  let last = NOTHING_FOUND;
  const found = yield* relayed(clock, search, (snapshot) => {
    last = options.holdInShare === undefined ? snapshot : withoutBlend(snapshot);
    return last;
  });
  if (!found.ok || (!options.explain && share === undefined)) return found;
  let answer = found.value;
  const why: Why = { ...answer.why };
  const central = answer.blends[0]!;
  const hear: Hear = (part) =>
    listening(clock, part, () => ({ ...last, milliseconds: clock.milliseconds }), clock.deadline);
  yield* pause(clock, { ...last, milliseconds: clock.milliseconds });
  const stated = yield* hear(stating(model, brief));
  if (stated === null) return success(answer);
  if (!stated.ok) return stated;
  const problem = stated.value;
  const designed: DesignedFor = { model, brief, problem, blend: central };

  if (share !== undefined) {
    const until = clock.started + blends;
    answer = yield* heldFirst({ ...designed, clock, until, options }, answer, share, why);
  }
  if (options.explain && !clock.stopped) {
    const missed = answer.status === 'closest';
    yield* explained(designed, missed, options.explain.whyNot ?? [], why, hear, clock);
  }
  if (options.explain) {
    const shown = designFor(model, brief, answer.blends[0]!.additions);
    if (shown.ok) why.contributions = contributionsOf(model, shown.value);
  }
  return success({ ...answer, milliseconds: clock.milliseconds, why });
}

function note(why: Why, text: string): void {
  why.notes = [...why.notes, text];
}

/** What the search for a blend that holds in a share of lots goes by. */
interface Holding extends DesignedFor {
  readonly clock: Clock;
  /** Time to stop, as the clock tells it, ms. */
  readonly until: number;
  readonly options: DesignOptions;
}

/** Why no blend is sought that holds in a share of lots; `null` where one is. */
function unsought({ brief, problem, clock }: Holding, { status }: DesignAnswer): string | null {
  if (clock.stopped) return 'stopped';
  if (status === 'closest') return 'no blend meets the wishes at all';
  return unsoughtFor(brief, problem);
}

/** The answer with the blend that holds in a share of lots first; adds to `why` what was found of it. */
function* heldFirst(
  holder: Holding,
  answer: DesignAnswer,
  share: number,
  why: Why,
): DesignRun<DesignAnswer> {
  const { model, brief, problem, blend: central, clock, until, options } = holder;
  const reason = unsought(holder, answer);
  if (reason !== null) {
    note(why, `A blend that holds in a share of lots was not searched for: ${reason}`);
    // The best of those that hold in any share is not proven best of those that hold in this one.
    const unproven = clock.stopped && answer.status === 'optimal' && central.holds_in_lots < share;
    return unproven ? { ...answer, status: 'within_gap' } : answer;
  }
  const base = fixedObjective(problem.fixed, brief);
  const middle = { doses: dosesOf(holder), bound: answer.lower_bound - base };
  const progress = ({ best, bound }: ChanceState): DesignProgress => ({
    best: best && blendAdditions(problem, brief, best.doses),
    objective: best && base + best.score.objective,
    lower_bound: base + Math.min(bound, best?.score.objective ?? middle.bound),
    gap: best ? gapOf(base + best.score.objective, base + bound) : 1,
    milliseconds: clock.milliseconds,
  });
  const going = { clock, until, progress };
  const found = yield* holding(model, brief, problem, middle, share, going);
  why.hold = found.hold;
  const objective = base + objectiveOf(problem, found.doses);
  const gap = gapOf(objective, found.lower_bound);
  const { reached } = found.hold;
  if (!reached) note(why, 'No blend was found that holds in the share of lots asked for');
  const status = reached && gap <= PROVEN_GAP ? 'optimal' : 'within_gap';
  const proof = { status, lower_bound: found.lower_bound, gap } as const;
  const judging = checking(model, brief, problem, found.doses, options.band);
  const { blend } = yield* completed(clock, judging, () => ({
    best: blendAdditions(problem, brief, found.doses),
    objective,
    lower_bound: found.lower_bound,
    gap,
    milliseconds: clock.milliseconds,
  }));
  const before = { status: answer.status, lower_bound: answer.lower_bound, gap: answer.gap };
  const [, ...others] = answer.blends;
  const blends = [{ ...blend, proof }, { ...central, proof: before }, ...others];
  return { ...answer, ...proof, blends };
}

/** Adds the reasons for the best blend to `why`. */
function* explained(
  designed: DesignedFor,
  missed: boolean,
  hops: readonly string[],
  why: Why,
  hear: Hear,
  proving: Clock,
): DesignRun<void> {
  const reason = yield* hear(reasonFor(designed, missed, proving));
  if (!reason) return;
  if (reason.kind === 'clash') {
    const clash = yield* hear(reason.seeking);
    if (clash) why.clash = clash;
    else note(why, 'Which wishes and limits clash was not settled in time');
    return;
  }
  if (reason.kind === 'unpriced') note(why, reason.why);
  else {
    const prices = yield* hear(reason.seeking);
    if (prices) why.prices = prices;
  }
  if (designed.brief.minimise === 'closest') return;
  const settled = reason.kind === 'priced' ? reason.settled : null;
  const found: WhyNot[] = [];
  for (const hop of hops) {
    const answer = yield* hear(reasonWithout(designed, settled, hop, proving));
    if (answer) found.push(answer);
  }
  if (found.length > 0) why.why_not = found;
}

/** Runs a design to its end, with what was asked beside it. */
export function answered(
  model: Model,
  brief: Brief,
  options: DesignOptions = {},
): Outcome<DesignAnswer> {
  return finished(answering(model, brief, options));
}
