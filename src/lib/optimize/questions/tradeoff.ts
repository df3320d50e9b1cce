// The curve of the weight of hops against closeness to the wishes, and against cost. Only exact points:
// each is the proven least of one figure with the other held (epsilon constraint), and points another
// point beats in both figures are dropped.
import type { Proof } from '#shared/answers/answer.ts';
import type { Tradeoff, TradeoffAnswer, TradeoffPoint } from '#shared/answers/comparison.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { modelFor, type Model } from '#engine/tables/model.ts';
import type { Sampling } from '#engine/doubt/sampling.ts';
import { checking } from '#optimize/problem/check.ts';
import { clashOf, undecided } from '#optimize/search/clash.ts';
import { fixedObjective } from '#optimize/problem/fixed-additions.ts';
import { leastMiss, slackOf } from '#optimize/search/nearest.ts';
import { heardStating } from '#optimize/problem/stating.ts';
import type { BlendProblem, LinearLimit } from '#optimize/problem/problem.ts';
import { proofOf } from '#optimize/search/proof.ts';
import { Search } from '#optimize/search/search.ts';
import { completed, run, Clock, type Run, type Timing } from '#optimize/pacing/clock.ts';
import { objectiveOf } from '#optimize/problem/evaluation.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { curving } from './chance-curve.ts';

/** Intensities by which the wishes are widened, one point each, as far as blends exist. */
export const SLACKS = [0, 0.1, 0.2, 0.3, 0.5, 0.75, 1] as const;
/** Points between the lightest and the cheapest blend. */
const BETWEEN = 5;
/** Room of a figure held at what was found, as a share, for the rounding of sums. */
const ROOM = 1e-9;

export interface TradeoffProgress {
  /** Points found so far. */
  readonly points: number;
  readonly milliseconds: number;
}

export interface TradeoffOptions extends Timing {
  readonly band?: Sampling;
  /** Widenings to look at, in intensity; 0 to 1 in seven steps where absent. */
  readonly slacks?: readonly number[];
}

interface TradeoffJob {
  readonly model: Model;
  readonly brief: Brief;
  readonly problem: BlendProblem;
  readonly options: TradeoffOptions;
  readonly clock: Clock;
  readonly points: TradeoffPoint[];
  /** Time each point may take, ms. */
  readonly share: number;
}

interface ProvenDoses {
  readonly doses: Doses;
  readonly proof: Proof;
}

type TradeoffRun<T> = Run<TradeoffProgress, T>;

function progressOf({ points, clock }: TradeoffJob): TradeoffProgress {
  return { points: points.length, milliseconds: clock.milliseconds };
}

/** Least objective of a problem with the wishes widened by `slack`; `null` where none was found. */
function* least(
  job: TradeoffJob,
  problem: BlendProblem,
  slack: number,
  known: readonly Doses[],
): TradeoffRun<ProvenDoses | null> {
  const { clock, share } = job;
  const search = new Search(problem, 'objective', slack, 0);
  for (const doses of known) search.offer(doses);
  if (!clock.over) {
    const until = Math.min(clock.deadline, clock.now() + share);
    yield* run(clock, search, until, () => progressOf(job));
  }
  const { incumbent, bound } = search.state;
  if (!incumbent) return null;
  const { tolerance } = search;
  const base = fixedObjective(problem.fixed, { ...job.brief, minimise: problem.minimise });
  return { doses: incumbent.doses, proof: proofOf({ incumbent, bound, tolerance }, base) };
}

function* pointOf(
  job: TradeoffJob,
  { doses, proof }: ProvenDoses,
  slack: number,
): TradeoffRun<TradeoffPoint> {
  const { model, brief, problem, options, clock } = job;
  const judging = checking(model, brief, problem, doses, options.band);
  const { blend } = yield* completed(clock, judging, () => progressOf(job));
  const { hop_g, cost } = blend.totals;
  return { hop_g, cost, slack, blend, proof };
}

function* againstCloseness(
  job: TradeoffJob,
  notes: string[],
): TradeoffRun<Outcome<TradeoffPoint[]>> {
  const { problem, clock, points, options } = job;
  const slacks = [...new Set(options.slacks ?? SLACKS)].sort((a, b) => a - b);
  const known: Doses[] = [];
  let from = slacks[0] ?? 0;
  let first = yield* least(job, problem, from, known);
  if (!first) {
    const until = Math.min(clock.deadline, clock.now() + job.share);
    const progress = () => progressOf(job);
    const near = yield* leastMiss(problem, { clock, until, progress });
    if (near === 'unknown') return failure(undecided(problem, clock));
    if (near === 'none') {
      return failure(yield* clashOf(problem, { clock, until: clock.deadline, progress }));
    }
    known.push(near.doses);
    from = slackOf(near.miss);
    first = yield* least(job, problem, from, known);
    notes.push(`No blend was found that misses by less than ${near.miss.toFixed(3)}`);
  }
  if (!first) return success(points);
  points.push(yield* pointOf(job, first, from));
  known.push(first.doses);
  for (const slack of slacks.filter((s) => s > from)) {
    if (clock.over) {
      notes.push(`Time ran out before a widening of ${slack} was tried`);
      break;
    }
    const found = yield* least(job, problem, slack, known);
    if (!found) continue;
    known.push(found.doses);
    points.push(yield* pointOf(job, found, slack));
  }
  return success(points);
}

/** The same problem with another figure minimised, and the first one held below `most`. */
function holding(
  problem: BlendProblem,
  objective: Float64Array,
  minimise: 'weight' | 'cost',
  held?: Pick<LinearLimit, 'coef' | 'most'>,
): BlendProblem {
  const limits = held
    ? [...problem.limits, { ...held, of: { kind: 'objective' } as const, taken: 0 }]
    : problem.limits;
  return { ...problem, objective, minimise, limits };
}

function* againstCost(job: TradeoffJob, notes: string[]): TradeoffRun<Outcome<TradeoffPoint[]>> {
  const { problem: priced, points, clock } = job;
  const cost = priced.objective;
  const weight = Float64Array.from(priced.columns, (c) => (c.stage === null ? 0 : priced.beerL));
  const weightOf = (doses: Doses) => objectiveOf({ ...priced, objective: weight }, doses);
  const costOf = (doses: Doses) => objectiveOf(priced, doses);
  const known: Doses[] = [];
  const upTo = (coef: Float64Array, most: number) => ({
    coef,
    most: most * (1 + ROOM) + ROOM,
  });
  /** Least cost at a weight, then the least weight at that cost; the proof is of the cost. */
  const cheapest = function* (most: number | null): TradeoffRun<ProvenDoses | null> {
    const held = most === null ? undefined : upTo(weight, most);
    const found = yield* least(job, holding(priced, cost, 'cost', held), 0, known);
    if (!found) return null;
    const at = upTo(cost, costOf(found.doses));
    const lighter = yield* least(job, holding(priced, weight, 'weight', at), 0, [found.doses]);
    return { doses: lighter?.doses ?? found.doses, proof: found.proof };
  };
  const lightest = yield* least(job, holding(priced, weight, 'weight'), 0, known);
  if (!lightest) {
    notes.push('No blend was found that meets all wishes, so there is no curve');
    return success(points);
  }
  known.push(lightest.doses);
  const low = weightOf(lightest.doses);
  const end = yield* cheapest(null);
  const high = end ? weightOf(end.doses) : low;
  if (end) known.push(end.doses);
  const caps = Array.from(
    { length: BETWEEN + 1 },
    (_, i) => low + ((high - low) * i) / (BETWEEN + 1),
  );
  for (const cap of high > low ? caps : []) {
    if (clock.over) {
      notes.push(`Time ran out before the least cost at ${cap.toFixed(1)} g was searched for`);
      break;
    }
    const point = yield* cheapest(cap);
    if (!point) continue;
    known.push(point.doses);
    points.push(yield* pointOf(job, point, 0));
  }
  if (end) points.push(yield* pointOf(job, end, 0));
  return success(points);
}

/** Points no other beats or equals in both figures, lightest first. */
export function undominated<T>(
  points: readonly T[],
  figures: (point: T) => readonly [number, number],
): T[] {
  const sorted = [...points].sort((p, q) => {
    const [a, b] = [figures(p), figures(q)];
    return a[0] - b[0] || a[1] - b[1];
  });
  let least = Infinity;
  return sorted.filter((point) => {
    const second = figures(point)[1];
    if (second >= least - 1e-9 * Math.abs(second)) return false;
    least = second;
    return true;
  });
}

/**
 * Points of the trade-off of a brief. Against `closeness`: the least weight when every wish is widened
 * by a slack, from 0 or the least slack any blend allows. Against `cost`: the least cost at weights
 * from the least to that of the cheapest blend. Against `chance`: see chance-curve.ts. Yields the points so far; send 'stop' to end early.
 * Fails like a design; against cost also where no candidate has a price, or a fixed addition has none.
 */
export function* tradingOff(
  base: Model,
  brief: Brief,
  against: Tradeoff,
  options: TradeoffOptions = {},
): TradeoffRun<Outcome<TradeoffAnswer>> {
  if (against === 'chance') {
    const found = yield* curving(base, brief, options);
    return found.ok ? success(found.value.answer) : found;
  }
  const model = modelFor(base, brief);
  const clock = new Clock(options.timeLimitMs, options.now);
  const posed: Brief = { ...brief, minimise: against === 'cost' ? 'cost' : 'weight' };
  const reading = () => ({ points: 0, milliseconds: clock.milliseconds });
  const stated = yield* heardStating(model, posed, clock, reading);
  if (!stated.ok) return stated;
  if (against === 'cost' && stated.value.fixed.cost === null) {
    return failure({
      path: 'keep',
      message: 'some kept additions have no price_per_kg, so that no blend has a cost',
      cure: 'Give their price, or trade off against closeness',
    });
  }
  const slices = against === 'cost' ? 2 * BETWEEN + 3 : (options.slacks ?? SLACKS).length + 1;
  const share = (clock.deadline - clock.started) / slices;
  const problem = stated.value;
  const job: TradeoffJob = { model, brief: posed, problem, options, clock, points: [], share };
  const notes: string[] = [];
  const found =
    against === 'cost' ? yield* againstCost(job, notes) : yield* againstCloseness(job, notes);
  if (!found.ok) return found;
  const points = undominated(found.value, (p) => [p.hop_g, against === 'cost' ? p.cost! : p.slack]);
  if (against === 'cost') notes.push('Only lots with a price take part');
  return success({
    against,
    milliseconds: clock.milliseconds,
    points,
    why: { left_out: problem.leftOut, notes },
  });
}
