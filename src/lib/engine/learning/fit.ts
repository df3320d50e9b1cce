// The most probable values of the unknowns given the evidence, and the doubt that is left: maximum a posteriori
// by Gauss-Newton steps in the space of the observations (far fewer than unknowns), with the curvature at the
// maximum as Laplace's covariance. The noise of tasters is found by MacKay's fixed point, with a weak prior.
import { AXES } from '#shared/ids.ts';
import { SCORE_MAX } from '#shared/schemas/tasting.ts';
import type { Model } from '#engine/tables/model.ts';
import { dot, inverseDiagonal, rootInPlace, solved, type Square } from '#engine/doubt/cholesky.ts';
import { atOnce, MULTIPLICATIONS_PER_PART, type Parts } from '#engine/doubt/parts.ts';
import { BatchModel, type FigureOf, type Tasted } from './evidence.ts';
import { normalFit, scoreFit, SCORE_MIN, type LikelihoodAt } from './likelihood.ts';
import type { SlopeRow } from './slope-row.ts';
import { Unknowns } from './unknowns.ts';

/** Prior standard deviation of a taster's bias, points (common practice, no source). */
export const BIAS_SD = 0.5;
/**
 * Noise of a taster that is assumed before any score, points, and the number of scores that this assumption
 * weighs as.
 */
export const NOISE_GIVEN = 1;
const NOISE_WEIGHT = 20;
const NOISE_ROUNDS = 2;
const STEPS_MAX = 25;
const HALVINGS_MAX = 8;
/** Most rows of slopes computed in one part of the work. */
const ROWS_AT_ONCE = 8;
/** The fit ends where a step would raise the log likelihood by less than this: far less than one score does. */
const GAIN_MIN = 1e-3;
/** The same while the noise of the tasters is still being estimated. */
const GAIN_ROUGH = 0.05;

export const tasterKey = (taster: string) => `taster/${taster}`;

/** One figure of one batch, on the scale on which its evidence errs: points, or the logarithm of a lab figure. */
export interface FittedFigure {
  readonly batch: number;
  readonly of: FigureOf;
}

/** One score (or the mean of a taster's repeats), or one lab figure. */
export interface Observation {
  readonly curve: number;
  readonly seen: number;
  readonly count: number;
  readonly taster: string | null;
  /** Relative standard deviation of a lab figure. */
  readonly precision: number;
}

export interface Posterior {
  readonly batches: readonly BatchModel[];
  readonly unknowns: Unknowns;
  readonly curves: readonly FittedFigure[];
  readonly observations: readonly Observation[];
  /** The most probable scores of the unknowns. */
  readonly scores: Float64Array;
  /** By figure, its value and its slopes at those scores. */
  readonly said: Float64Array;
  readonly rows: readonly SlopeRow[];
  /** Places of the tasters' biases by observation; -1 for a lab figure. */
  readonly biases: Int32Array;
  /** Root of K + W⁻¹, where K is the prior covariance of the observations and W holds their curvatures. */
  readonly root: Square;
  /** (K + W⁻¹)⁻¹ (observed − predicted by the prior), by observation: how strongly each moves the unknowns. */
  readonly pulls: Float64Array;
  /**
   * The value that each observation states at that curvature: its own, or for a score at an end of the scale
   * the equivalent one.
   */
  readonly working: Float64Array;
  readonly noise: ReadonlyMap<string, number>;
  readonly steps: number;
  /**
   * Whether the next step would gain next to nothing. If not, no step length lowered the cost, or there were
   * too many steps: the evidence lies outside of what the model can reach.
   */
  readonly settled: boolean;
}

function observed(batches: readonly Tasted[]): {
  curves: FittedFigure[];
  observations: Observation[];
} {
  const curves: FittedFigure[] = [];
  const observations: Observation[] = [];
  batches.forEach(({ scores, lab }, batch) => {
    for (const axis of AXES) {
      const own = scores.filter((s) => s.axis === axis);
      if (own.length === 0) continue;
      const curve = curves.push({ batch, of: { axis } }) - 1;
      const put = (taster: string, seen: number, count: number) =>
        observations.push({ curve, seen, count, taster, precision: 0 });
      for (const taster of new Set(own.map((s) => s.taster))) {
        const given = own.filter((s) => s.taster === taster).map((s) => s.score);
        const inside = given.filter((s) => s > SCORE_MIN && s < SCORE_MAX);
        // The mean of scores inside the scale carries all their information; scores at the ends count one by
        // one.
        if (inside.length > 0) {
          put(taster, inside.reduce((a, b) => a + b) / inside.length, inside.length);
        }
        for (const s of given) if (s <= SCORE_MIN || s >= SCORE_MAX) put(taster, s, 1);
      }
    }
    for (const { of, value, precision } of lab) {
      const curve = curves.push({ batch, of: { lab: of } }) - 1;
      observations.push({ curve, seen: Math.log(value), count: 1, taster: null, precision });
    }
  });
  return { curves, observations };
}

/** The state of a running fit. */
class Fitting {
  readonly curves: readonly FittedFigure[];
  readonly observations: readonly Observation[];
  readonly biases: Int32Array;
  readonly noise = new Map<string, number>();
  scores: Float64Array;
  steps = 0;
  settled = false;
  said!: Float64Array;
  rows!: SlopeRow[];
  /** By figure, its prior covariance with each figure up to itself. */
  private between!: number[][];
  readonly root: Square;
  pulls!: Float64Array;
  working!: Float64Array;

  constructor(
    readonly unknowns: Unknowns,
    readonly batches: readonly BatchModel[],
  ) {
    const { curves, observations } = observed(batches.map(({ of }) => of));
    this.curves = curves;
    this.observations = observations;
    this.biases = Int32Array.from(observations, ({ taster }) =>
      taster === null ? -1 : this.unknowns.place(tasterKey(taster)),
    );
    for (const { taster } of observations) if (taster !== null) this.noise.set(taster, NOISE_GIVEN);
    this.scores = new Float64Array(this.unknowns.count);
    this.root = new Float64Array(observations.length ** 2);
  }

  private *saidAt(scores: Float64Array): Parts<Float64Array> {
    for (const batch of this.batches) {
      batch.at(scores);
      yield;
    }
    const said = new Float64Array(this.curves.length);
    this.curves.forEach(({ batch, of }, c) => {
      const value = this.batches[batch]!.value(of);
      said[c] = 'lab' in of ? Math.log(value) : value;
    });
    return said;
  }

  /** Computes slopes at the present scores, and the prior covariance between the figures. */
  private *slope(): Parts<void> {
    this.rows = [];
    this.between = [];
    let done = 0;
    for (const [c, { batch, of }] of this.curves.entries()) {
      const row = this.batches[batch]!.row(of, this.scores);
      this.rows.push(row);
      const all = row.addTo(new Float64Array(this.scores.length));
      this.between.push(this.rows.map((other) => other.times(all)));
      done += c * row.places.length;
      if (done > MULTIPLICATIONS_PER_PART || c % ROWS_AT_ONCE === 0) {
        yield;
        done = 0;
      }
    }
  }

  private fitOf(i: number, said: Float64Array, scores: Float64Array): LikelihoodAt {
    const { curve, seen, count, taster, precision } = this.observations[i]!;
    if (taster === null) return normalFit(seen, said[curve]!, precision);
    const biased = said[curve]! + BIAS_SD * scores[this.biases[i]!]!;
    return scoreFit(seen, biased, this.noise.get(taster)!, count);
  }

  private costAt(scores: Float64Array, said: Float64Array): number {
    let cost = 0;
    for (const score of scores) cost += (score * score) / 2;
    this.observations.forEach((_, i) => (cost += this.fitOf(i, said, scores).cost));
    return cost;
  }

  /** The prior covariance between observations, from that between figures: the lower half. */
  private *prior(): Parts<Square> {
    const { between, observations, biases, root: all } = this;
    const n = observations.length;
    let done = 0;
    for (let i = 0; i < n; i += 1) {
      done += 10 * i;
      if (done > MULTIPLICATIONS_PER_PART) {
        yield;
        done = 0;
      }
      const own = observations[i]!.curve;
      for (let j = 0; j <= i; j += 1) {
        const other = observations[j]!.curve;
        const same = biases[i] === biases[j] && biases[i]! >= 0 ? BIAS_SD * BIAS_SD : 0;
        const common = own < other ? between[other]![own]! : between[own]![other]!;
        all[i * n + j] = common + same;
      }
    }
    return all;
  }

  /**
   * Finds the curvature at the present scores, the scores that the next step aims at, and the gain it promises.
   */
  private *bend(): Parts<{ readonly aim: Float64Array; readonly gain: number }> {
    const { scores, observations, biases, rows } = this;
    const n = observations.length;
    const matrix = yield* this.prior();
    const wanted = new Float64Array(n);
    const slopes = new Float64Array(n);
    this.working = new Float64Array(n);
    const now = rows.map((row) => row.times(scores));
    for (let i = 0; i < n; i += 1) {
      const { slope, bend } = this.fitOf(i, this.said, scores);
      const { curve } = observations[i]!;
      matrix[i * n + i]! += 1 / bend;
      const bias = biases[i]! < 0 ? 0 : BIAS_SD * scores[biases[i]!]!;
      slopes[i] = slope;
      wanted[i] = now[curve]! + bias - slope / bend;
      this.working[i] = this.said[curve]! + bias - slope / bend;
    }
    yield* rootInPlace(matrix, n);
    this.pulls = solved(this.root, n, wanted);
    const aim = this.pulled(this.pulls);
    // Half of the cost's fall along its slope: exact where the cost is a parabola (Newton's decrement).
    let fall = dot(scores, scores) - dot(scores, aim);
    const then = rows.map((row) => row.times(aim));
    observations.forEach(({ curve }, i) => {
      const bias = biases[i]! < 0 ? 0 : BIAS_SD * (scores[biases[i]!]! - aim[biases[i]!]!);
      fall += slopes[i]! * (now[curve]! - then[curve]! + bias);
    });
    return { aim, gain: fall / 2 };
  }

  /** The change of the scores that the observations cause. */
  private pulled(pulls: Float64Array): Float64Array {
    const { observations, biases, rows } = this;
    const scores = new Float64Array(this.scores.length);
    const byCurve = new Float64Array(rows.length);
    observations.forEach(({ curve }, i) => {
      byCurve[curve]! += pulls[i]!;
      if (biases[i]! >= 0) scores[biases[i]!]! += BIAS_SD * pulls[i]!;
    });
    rows.forEach((row, c) => row.addTo(scores, byCurve[c]));
    return scores;
  }

  /** Sets the starting point. */
  *begin(): Parts<void> {
    this.said = yield* this.saidAt(this.scores);
    yield* this.slope();
  }

  /** Takes steps until one gains less than `least`; at the end the curvature is that of the last point. */
  *descend(least: number): Parts<void> {
    let cost = this.costAt(this.scores, this.said);
    let next = yield* this.bend();
    for (let step = 0; step < STEPS_MAX && next.gain >= least; step += 1) {
      this.steps += 1;
      const { aim } = next;
      let share = 1;
      let found = false;
      for (let h = 0; h < HALVINGS_MAX && !found; h += 1, share /= 2) {
        const trial = this.scores.map((s, u) => s + share * (aim[u]! - s));
        const said = yield* this.saidAt(trial);
        const trialCost = this.costAt(trial, said);
        if (trialCost >= cost) continue;
        found = true;
        cost = trialCost;
        this.scores = trial;
        this.said = said;
      }
      if (!found) {
        // The batches still hold the last trial, which was rejected. As the step still promises a gain, the fit
        // is not settled.
        this.said = yield* this.saidAt(this.scores);
        break;
      }
      yield* this.slope();
      next = yield* this.bend();
    }
    this.settled = next.gain < least;
  }

  /**
   * Estimates the noise of the tasters from what the fit leaves unexplained; each score counts less by what the
   * fit took from it.
   */
  *listen(): Parts<void> {
    const { observations, root } = this;
    const n = observations.length;
    const inverse = yield* inverseDiagonal(root, n);
    for (const taster of this.noise.keys()) {
      let squares = NOISE_WEIGHT * NOISE_GIVEN * NOISE_GIVEN;
      let count = NOISE_WEIGHT;
      observations.forEach((o, i) => {
        if (o.taster !== taster || o.seen <= SCORE_MIN || o.seen >= SCORE_MAX) return;
        const { slope, bend } = this.fitOf(i, this.said, this.scores);
        squares += (slope / bend) ** 2 * o.count;
        count += inverse[i]! / bend;
      });
      this.noise.set(taster, Math.sqrt(squares / count));
    }
  }
}

/** Fits the unknowns of a model to batches. There must be at least one observation. */
export function fitted(model: Model, tasted: readonly Tasted[], estimateNoise = true): Posterior {
  return atOnce(fitting(model, tasted, estimateNoise));
}

/** The same in parts. */
export function* fitting(
  model: Model,
  tasted: readonly Tasted[],
  estimateNoise = true,
): Parts<Posterior> {
  const unknowns = new Unknowns(model);
  const batches: BatchModel[] = [];
  for (const of of tasted) {
    batches.push(new BatchModel(model, of, unknowns));
    yield;
  }
  const fit = new Fitting(unknowns, batches);
  yield* fit.begin();
  for (let round = 0; estimateNoise && round < NOISE_ROUNDS; round += 1) {
    yield* fit.descend(GAIN_ROUGH);
    yield* fit.listen();
  }
  yield* fit.descend(GAIN_MIN);
  return fit;
}
