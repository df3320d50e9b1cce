// The way from a season to its plan: state it, widen the wishes of a batch that no blend of its own meets, find
// the best plan with its proof; where there is none, what is lacking at least and what clashes. Every blend is
// predicted anew by the engine before a word is said about it.
import type { Hold } from '#shared/answers/answer.ts';
import type { PlannedBatch, SeasonAnswer } from '#shared/answers/season.ts';
import { AXES } from '#shared/ids.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { Season } from '#shared/schemas/season.ts';
import type { Model } from '#engine/tables/model.ts';
import { Clock, listening, run, type Now, type Run } from '#optimize/pacing/clock.ts';
import { additionsOf, checkedPoint } from '#optimize/problem/check.ts';
import { clashOf, undecided } from '#optimize/search/clash.ts';
import { leastMiss, slackOf } from '#optimize/search/nearest.ts';
import { gapOf } from '#optimize/search/proof.ts';
import { allotted } from './allotting.ts';
import { bestOf, blendOf, type BatchBlend } from './batch-blend.ts';
import { clashIn, lackingLeast, possibleBy } from './season-clash.ts';
import { SeasonSearch } from './season-search.ts';
import { statingSeason, type SeasonProblem } from './season-problem.ts';
import { tieBrokenPlan } from './season-ties.ts';
import { askingIn, holdingPlan } from './season-holding.ts';
import { planOf, type Plan } from './season-plan.ts';

export interface PlanningOptions {
  readonly timeLimitMs?: number;
  /** What tells the time; the machine's where absent. */
  readonly now?: Now;
}

/** How far a plan is, on the way. */
export interface SeasonProgress {
  /** What the best plan counts; `null` while there is none. */
  readonly objective: number | null;
  readonly lower_bound: number;
  readonly gap: number;
  readonly milliseconds: number;
}

/** Share of the time after which a season without a plan is asked whether there can be one. */
const PLAN_SHARE = 0.4;
/** The same for the fewest grams lacking; the rest is for the clash. */
const LACKING_SHARE = 0.7;
/** The same for the plan where batches are to hold in a share of lots; the rest is for that. */
const MIDDLE_SHARE = 0.5;
/** Nodes after which the search of a batch on its own is given up. */
const ALONE_NODES = 2000;

type Planning<T> = Run<SeasonProgress, T>;

function baseOf({ blocks }: SeasonProblem): number {
  return blocks.reduce((sum, { base }) => sum + base, 0);
}

/** Why a season is not planned. */
function unplanned({ batches, minimise, candidates }: Season): Outcome<never> | null {
  const isPacked = candidates !== 'table' && candidates.some(({ package_g: size }) => size);
  if (minimise !== 'cost' || !isPacked) return null;
  const { leftover_value_pct: worth = 0 } = batches[0]!.brief.batch;
  const apart = batches.flatMap(({ brief }, b) =>
    (brief.batch.leftover_value_pct ?? 0) === worth
      ? []
      : [
          {
            path: `batches[${b}].brief.batch.leftover_value_pct`,
            message: `packages are bought for all batches together, but what is left of them keeps ${worth} % of its price in the first one`,
            cure: 'Give every batch the same figure, or none',
          },
        ],
  );
  const problems = batches.flatMap(({ brief }, b) =>
    brief.limits.holds_in_lots_at_least
      ? [
          {
            path: `batches[${b}].brief.limits.holds_in_lots_at_least`,
            message:
              'a blend that holds in a share of lots is not searched for where packages are bought',
            cure: 'Take it out here, or minimise weight, or leave out package_g of the lots',
          },
        ]
      : [],
  );
  const all = [...apart, ...problems];
  return all.length > 0 ? failure(...all) : null;
}

/** The season with the wishes of a batch widened where none of its blends meets them, and a blend of each. */
function* meetable(
  season: SeasonProblem,
  clock: Clock,
  progress: () => SeasonProgress,
): Planning<Outcome<{ season: SeasonProblem; pool: BatchBlend[][] }>> {
  const blocks = [...season.blocks];
  const pool: BatchBlend[][] = [];
  for (const [b, block] of blocks.entries()) {
    const { problem } = block;
    const alone = bestOf(problem, 0, [], Infinity, ALONE_NODES);
    const found = yield* listening(clock, alone, progress, clock.deadline);
    let doses = found?.doses ?? null;
    if (!doses) {
      const near = yield* leastMiss(problem, { clock, until: clock.deadline, progress });
      if (near === 'none' || near === 'unknown') {
        const asked = { clock, until: clock.deadline, progress };
        const { message, cure } =
          near === 'none' ? yield* clashOf(problem, asked) : undecided(problem, clock);
        return failure({ path: `batches[${b}].brief.limits`, message, cure });
      }
      ({ doses } = near);
      blocks[b] = { ...block, slack: slackOf(near.miss) };
    }
    pool.push([blendOf(season, blocks[b]!, doses)]);
  }
  return success({ season: { ...season, blocks }, pool });
}

/**
 * Plans a season, a slice at a time. Yields a snapshot at every better plan and every few milliseconds; send
 * 'stop' to end with the best so far and its honest gap. `optimal`: proven within 0.1 % or one weighing step.
 * `closest`: no plan meets every brief; the notes say which batches miss, `clash` what cannot go together.
 */
export function* planning(
  model: Model,
  given: Season,
  { timeLimitMs, now }: PlanningOptions = {},
): Planning<Outcome<SeasonAnswer>> {
  const refused = unplanned(given);
  if (refused) return refused;
  const clock = new Clock(timeLimitMs, now);
  const waiting = (): SeasonProgress => ({
    objective: null,
    lower_bound: 0,
    gap: 1,
    milliseconds: clock.milliseconds,
  });
  const stated = yield* listening(clock, statingSeason(model, given), waiting);
  if (!stated) return failure(stoppedEarly());
  if (!stated.ok) return stated;
  const met = yield* meetable(stated.value, clock, waiting);
  if (!met.ok) return met;
  const { season, pool } = met.value;
  const base = baseOf(season);
  const search = new SeasonSearch(season, 'objective', pool);
  const snapshot = (): SeasonProgress => {
    const { merit, bound } = search;
    const objective = merit < Infinity ? base + merit : null;
    return {
      objective,
      lower_bound: base + Math.min(bound, merit),
      gap: objective === null ? 1 : gapOf(objective, base + bound),
      milliseconds: clock.milliseconds,
    };
  };
  const share = (part: number) => clock.started + (clock.deadline - clock.started) * part;
  const first = {
    get incumbent() {
      return search.incumbent;
    },
    step: () => !(search.isSuspect && !search.incumbent) && search.step(),
  };
  yield* run(clock, first, share(PLAN_SHARE), snapshot);
  if (!search.incumbent) {
    const lacking = yield* lackingLeast(season, search.pool, clock, share(LACKING_SHARE), snapshot);
    const { incumbent: least } = lacking;
    if (!least) return failure(stoppedEarly());
    if (least.lacking > 0) return yield* withoutPlan(season, lacking, least, clock, snapshot);
    search.offer(least);
  }
  const isAsked = askingIn(season).length > 0;
  const until = isAsked ? share(MIDDLE_SHARE) : clock.deadline;
  if (!clock.over) yield* run(clock, search, until, snapshot);
  const { bound, tolerance } = search;
  let plan = search.incumbent!;
  if (!clock.over) {
    const ties = tieBrokenPlan(season, plan);
    plan = (yield* listening(clock, ties, snapshot, clock.deadline)) ?? plan;
  }
  let holds: HeldShares = NONE_HELD;
  if (isAsked) {
    const timed = { clock, until: clock.deadline, progress: snapshot };
    ({ plan, holds } = yield* holdingPlan(season, plan, search.pool, timed));
  }
  const proven = plan.worth - bound <= tolerance * (1 + 1e-9);
  const status = proven ? 'optimal' : 'within_gap';
  return success(answerOf(season, plan, clock, status, base + bound, holds));
}

/** Of batches that are to hold in a share of lots, how far they do. */
type HeldShares = ReadonlyMap<number, Hold>;
const NONE_HELD: HeldShares = new Map();

/** The plan that lacks least, and what clashes. */
function* withoutPlan(
  season: SeasonProblem,
  lacking: SeasonSearch,
  least: Plan,
  clock: Clock,
  snapshot: () => SeasonProgress,
): Planning<Outcome<SeasonAnswer>> {
  if (possibleBy(lacking) !== 'no') {
    const answer = answerOf(season, least, clock, 'closest', 0);
    const note = 'The search ended before a plan was found or it was proven that there is none';
    return success({ ...answer, notes: [...answer.notes, note] });
  }
  const clash = yield* clashIn(season, lacking.pool, clock, snapshot);
  const answer = answerOf(season, least, clock, 'closest', 0);
  const candidates = clash.lots.flatMap((l) => season.lots[l]!.members);
  const { batches, isSmallest: smallest } = clash;
  return success({ ...answer, clash: { batches, candidates, smallest } });
}

function answerOf(
  problem: SeasonProblem,
  plan: Plan,
  clock: Clock,
  status: SeasonAnswer['status'],
  bound: number,
  holds: HeldShares = NONE_HELD,
): SeasonAnswer {
  const { season, blocks } = problem;
  const objective = baseOf(problem) + planOf(problem, plan.blends).worth;
  const batches = blocks.map((block, b): PlannedBatch => {
    const { brief, model, brewOn, problem: own } = block;
    const additions = additionsOf(own, brief, plan.blends[b]!.doses);
    const { totals, axes, misses, worst_miss } = checkedPoint(model, brief, additions);
    const { hop_g, hop_g_per_l, ibu } = totals;
    return {
      name: brief.name,
      brew_on: brewOn,
      additions: additions.documents,
      hop_g,
      hop_g_per_l,
      ibu,
      axes: Object.fromEntries(
        AXES.map((axis) => [axis, { intensity: axes[axis].intensity }]),
      ) as PlannedBatch['axes'],
      worst_miss,
      misses,
      ...(holds.has(b) && { hold: holds.get(b)! }),
    };
  });
  const missing = batches.filter(({ misses }, b) => blocks[b]!.slack > 0 && misses.length > 0);
  const notes = missing.map(
    ({ name, brew_on, misses }) =>
      `No blend of ${name || brew_on} meets all of its wishes, not even alone; it misses ${misses.map(({ wish }) => wish).join(', ')}`,
  );
  const short = batches.filter(({ hold }) => hold && !hold.reached);
  notes.push(
    ...short.map(
      ({ name, brew_on, hold }) =>
        `No blend of ${name || brew_on} from these lots was found that holds in ${percent(hold!.wanted)} of its lots; this one holds in ${percent(hold!.share)}`,
    ),
  );
  return {
    status: missing.length + short.length > 0 ? 'closest' : status,
    lower_bound: Math.min(bound, objective),
    gap: gapOf(objective, Math.min(bound, objective)),
    minimise: season.minimise,
    objective,
    milliseconds: clock.milliseconds,
    batches,
    ...allotted(problem, plan.blends),
    notes,
  };
}

const percent = (share: number) => `${Math.round(share * 100)} %`;

function stoppedEarly() {
  return {
    path: 'batches',
    message: 'the search was stopped before there was any plan',
    cure: 'Plan again and let it go on a little longer',
  };
}
