// What it takes to hold in more lots: the least blend for the middle lots and for each of several shares of drawn
// lots, each point with what is proven of it. The points get better as long as there is time.
import type { Blend, Proof } from '#shared/answers/answer.ts';
import type { TradeoffAnswer, TradeoffPoint } from '#shared/answers/comparison.ts';
import { success, type Outcome } from '#shared/outcome.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { modelFor, type Model } from '#engine/tables/model.ts';
import { Clock, completed, pause, run, type Run } from '#optimize/pacing/clock.ts';
import { checking } from '#optimize/problem/check.ts';
import { asksOfLots } from '#optimize/problem/chance.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { fixedObjective } from '#optimize/problem/fixed-additions.ts';
import { heardStating } from '#optimize/problem/stating.ts';
import { ChanceCurve, type ChancePoint } from '#optimize/robust/chance-curve.ts';
import { CHANCE_SAMPLING, ChanceDraws } from '#optimize/robust/chance-draws.ts';
import { unsoughtFor } from '#optimize/robust/robust.ts';
import { proofOf } from '#optimize/search/proof.ts';
import { Search } from '#optimize/search/search.ts';
import type { TradeoffOptions, TradeoffProgress } from './tradeoff.ts';

/** Shares of lots looked at beside that of the brief. */
export const SHARES = [0.5, 0.6, 0.7, 0.8, 0.9] as const;
/** Share of the time given to the blend for the middle lots. */
const MIDDLE_SHARE = 0.2;

/** What is known so far of one point. */
export interface ChanceStep {
  /** Share of lots asked for; 0: the middle lots alone. */
  readonly holds_in_lots_at_least: number;
  /** Objective of the best blend, g, money or g of leaf; `null` while none is known. */
  readonly objective: number | null;
  readonly proof: Proof | null;
  /** Share of the draws it is chosen by in which the blend holds; `null` while it is not counted. */
  readonly holds_in_lots: number | null;
}

/** The curve as an answer, and its points as they were reported on the way. */
export interface ChanceFinding {
  readonly answer: TradeoffAnswer;
  readonly chances: readonly ChanceStep[];
}

export interface ChanceProgress extends TradeoffProgress {
  readonly chances: readonly ChanceStep[];
}

interface FoundInLots {
  readonly share: number;
  readonly held: number | null;
  readonly doses: Doses;
  readonly objective: number;
  readonly proof: Proof;
}

/**
 * The curve of the least objective against the share of lots in which every wish and the bitterness window
 * hold. Yields all points so far; a stop ends it with what is proven by then. A share no blend was found for has
 * no point but a note. Fails like a design.
 */
export function* curving(
  base: Model,
  given: Brief,
  options: TradeoffOptions = {},
): Run<ChanceProgress, Outcome<ChanceFinding>> {
  const brief: Brief = given.minimise === 'closest' ? { ...given, minimise: 'weight' } : given;
  const model = modelFor(base, brief);
  const clock = new Clock(options.timeLimitMs, options.now);
  let chances: readonly ChanceStep[] = [];
  const progress = (): ChanceProgress => ({
    points: chances.filter((c) => c.objective !== null).length,
    chances,
    milliseconds: clock.milliseconds,
  });
  const stated = yield* heardStating(model, brief, clock, progress);
  if (!stated.ok) return stated;
  const problem = stated.value;
  const fixed = fixedObjective(problem.fixed, brief);
  const notes: string[] = [];

  const search = new Search(problem, 'objective', 0, 0);
  const until = clock.started + (clock.deadline - clock.started) * MIDDLE_SHARE;
  yield* run(clock, search, until, progress);
  const { incumbent, bound } = search.state;
  const ended = (points: TradeoffPoint[]) => {
    const why = { left_out: problem.leftOut, notes };
    const { milliseconds } = clock;
    const answer: TradeoffAnswer = { against: 'chance', milliseconds, points, why };
    return success({ answer, chances });
  };
  if (!incumbent) {
    notes.push('No blend was found that meets all wishes, so there is no curve');
    return ended([]);
  }
  const known = ({ share, best, bound: proven }: ChancePoint): FoundInLots | null => {
    if (!best) return null;
    const merit = best.score.objective;
    const { tolerance } = search;
    const proof = proofOf(
      { incumbent: { doses: best.doses, merit }, bound: proven, tolerance },
      fixed,
    );
    const held = best.held / CHANCE_SAMPLING.samples;
    return { share, held, doses: best.doses, objective: fixed + merit, proof };
  };
  const stepOf = (point: FoundInLots | null, share: number): ChanceStep => ({
    holds_in_lots_at_least: share,
    objective: point && point.objective,
    proof: point && point.proof,
    holds_in_lots: point && point.held,
  });
  const { doses, merit } = incumbent;
  const middle: FoundInLots = {
    share: 0,
    held: null,
    doses,
    objective: fixed + merit,
    proof: proofOf({ incumbent, bound, tolerance: search.tolerance }, fixed),
  };
  chances = [stepOf(middle, 0)];
  const found: FoundInLots[] = [middle];
  const reason = asksOfLots(brief) ? unsoughtFor(brief, problem) : 'nothing is asked of the lots';
  if (reason !== null) {
    notes.push(`A blend that holds in a share of lots was not searched for: ${reason}`);
  } else if (!clock.over) {
    yield* pause(clock, progress());
    const draws = new ChanceDraws(model, brief, problem);
    yield* pause(clock, progress());
    const curve = new ChanceCurve(draws, sharesFor(brief), { doses, bound });
    const first = stepOf({ ...middle, held: curve.holdsInMiddle() }, 0);
    const now = () => {
      chances = [first, ...curve.points.map((p) => stepOf(known(p), p.share))];
      return progress();
    };
    yield* run(clock, curve, clock.deadline, now);
    now();
    for (const point of curve.points) {
      const best = known(point);
      if (best) found.push(best);
      else notes.push(unfound(point));
    }
  }
  const points: TradeoffPoint[] = [];
  const predicted = new Map<Doses, Blend>();
  for (const { share, doses: at, proof } of found) {
    // One blend may be the least for several shares.
    let blend = predicted.get(at);
    if (!blend) {
      const judging = checking(model, brief, problem, at, options.band);
      ({ blend } = yield* completed(clock, judging, progress));
      predicted.set(at, blend);
    }
    const { hop_g, cost } = blend.totals;
    points.push({ hop_g, cost, slack: 0, holds_in_lots_at_least: share, blend, proof });
    yield progress();
  }
  return ended(points);
}

function sharesFor({ limits: { holds_in_lots_at_least: asked = 0 } }: Brief): number[] {
  const shares = new Set<number>(SHARES);
  if (asked > 0) shares.add(asked);
  return [...shares].sort((a, b) => a - b);
}

function unfound({ share, shareAtMost }: ChancePoint): string {
  const percent = (of: number) => `${Math.round(of * 100)} %`;
  const none = `No blend was found that holds in ${percent(share)} of lots`;
  return shareAtMost < share
    ? `${none}; proven: none does in more than ${percent(shareAtMost)}`
    : none;
}
