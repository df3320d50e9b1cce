// The whole answer to "what do my tastings change": what was learned, how far the model was off before and is
// off now, which figures moved, whether evidence and model disagree, and which further evidence would teach
// most.
import { mean } from 'simple-statistics';
import type { Interval } from '#shared/interval.ts';
import type { Learned } from '#shared/schemas/learned.ts';
import { SCORE_MAX } from '#shared/schemas/tasting.ts';
import type { Model } from '#engine/tables/model.ts';
import { dot, rootOf, solved, solvedBelow } from '#engine/doubt/cholesky.ts';
import { atOnce, type Parts } from '#engine/doubt/parts.ts';
import { learnedModel, sdLeft, sharedUnknowns } from '#engine/doubt/learned.ts';
import { figureAt, Z90 } from '#engine/doubt/scores.ts';
import { predictPoint } from '#engine/predict/predict.ts';
import { AXES } from '#shared/ids.ts';
import { disagreements, type Disagreement } from './disagreement.ts';
import type { Tasted } from './evidence.ts';
import { BIAS_SD, fitting, type Posterior } from './fit.ts';
import { designIn, learnedOfFit } from './learning.ts';
import { SCORE_MIN } from './likelihood.ts';
import { nextEvidence, type NextEvidence } from './next.ts';
import { agreementOf, commonTable, panelOf, type PanelNote } from './panel.ts';

/** Mean distance between panel and prediction, in points. */
export interface TastingError {
  /** With the published model. */
  readonly before: number;
  /** With what was learned from these same beers. */
  readonly after: number;
  /** With each beer predicted by what the other beers taught. */
  readonly ahead: number;
}

/** One note of one beer: the panel's mean beside the predictions. */
export interface BeerNote extends PanelNote {
  /** The predictions of the published model, and with what was learned. */
  readonly before: number;
  readonly after: number;
}

export interface Lesson {
  readonly learned: Learned;
  /** By id of the batch. */
  readonly beers: Readonly<Record<string, readonly BeerNote[]>>;
  /** Figures that moved or narrowed, ordered by how far they moved relative to their doubt. */
  readonly moved: readonly Moved[];
  /** `null` where nobody tasted. */
  readonly error: TastingError | null;
  readonly disagreements: readonly Disagreement[];
  /** Whether the fit converged; if not, it stopped where no step brought model and evidence closer. */
  readonly settled: boolean;
  readonly next: readonly NextEvidence[];
  /** Intraclass correlation of the tasters over all beers; `null` where it cannot be computed. */
  readonly agreement: number | null;
}

/** Mean absolute miss of the panel's notes, a miss being the mean over the scores of one note of one beer. */
function missOf(posterior: Posterior, residualOf: (observation: number) => number): number | null {
  const { curves, observations } = posterior;
  const byCurve = curves.map((): number[] => []);
  observations.forEach(({ curve, taster }, i) => {
    if (taster !== null) byCurve[curve]!.push(residualOf(i));
  });
  const misses = byCurve.filter((all) => all.length > 0).map((all) => Math.abs(mean(all)));
  return misses.length > 0 ? mean(misses) : null;
}

const onScale = (score: number) => Math.min(SCORE_MAX, Math.max(SCORE_MIN, score));

/** By observation, its distance from what all other batches predict for it, on its own scale. */
function* aheadOf({
  observations,
  curves,
  root,
  pulls,
  batches,
  working,
}: Posterior): Parts<Float64Array> {
  const n = observations.length;
  const ahead = new Float64Array(n);
  for (const b of batches.keys()) {
    const own = observations.flatMap(({ curve }, i) => (curves[curve]!.batch === b ? [i] : []));
    const half: Float64Array[] = [];
    for (const i of own) {
      const unit = new Float64Array(n);
      unit[i] = 1;
      half.push(solvedBelow(root, n, unit));
      yield;
    }
    const size = own.length;
    const block = new Float64Array(size * size);
    for (let i = 0; i < size; i += 1) {
      for (let j = 0; j < size; j += 1) block[i * size + j] = dot(half[i]!, half[j]!);
    }
    const ownRoot = rootOf(block, size);
    const of = Float64Array.from(own, (i) => pulls[i]!);
    const off = ownRoot ? solved(ownRoot, size, of) : of;
    own.forEach((i, at) => (ahead[i] = observations[i]!.seen - onScale(working[i]! - off[at]!)));
  }
  return ahead;
}

/** Intensities of a beer, by axis. */
type PublishedNotes = readonly number[];

function* errorOf(
  posterior: Posterior,
  published: readonly PublishedNotes[],
): Parts<TastingError | null> {
  const { curves, observations, said, scores, biases } = posterior;
  const before = missOf(posterior, (i) => {
    const { curve, seen } = observations[i]!;
    const { batch, of } = curves[curve]!;
    return 'axis' in of ? seen - published[batch]![AXES.indexOf(of.axis)]! : 0;
  });
  const after = missOf(posterior, (i) => {
    const { curve, seen } = observations[i]!;
    return seen - onScale(said[curve]! + BIAS_SD * scores[biases[i]!]!);
  });
  const off = yield* aheadOf(posterior);
  const ahead = missOf(posterior, (i) => off[i]!);
  return before === null || after === null || ahead === null ? null : { before, after, ahead };
}

/** A learned figure: its median and its 10 and 90 % points, as published and now. */
export interface Moved {
  readonly id: string;
  readonly before: Interval;
  readonly after: Interval;
}

function movedOf(model: Model, { parameters }: Learned): Moved[] {
  const all = sharedUnknowns(model);
  return Object.entries(parameters)
    .flatMap(([id, figure]) => {
      const range = all.get(id)?.range;
      const { score } = figure;
      if (!range || score === undefined) return [];
      const points = (middle: number, sd: number): Interval => ({
        low: figureAt(range, middle - Z90 * sd),
        central: figureAt(range, middle),
        high: figureAt(range, middle + Z90 * sd),
      });
      return [{ id, score, before: points(0, 1), after: points(score, sdLeft(figure)) }];
    })
    .sort((a, b) => Math.abs(b.score) - Math.abs(a.score))
    .map(({ id, before, after }) => ({ id, before, after }));
}

function* beersOf(
  model: Model,
  learned: Learned,
  batches: readonly Tasted[],
  published: readonly PublishedNotes[],
): Parts<Lesson['beers']> {
  const after = learnedModel(model, learned);
  const entries: [string, BeerNote[]][] = [];
  for (const [b, { id, design, scores }] of batches.entries()) {
    yield;
    const taught = predictPoint(after, designIn(after, design));
    const notes = panelOf(scores).map((note): BeerNote => {
      const a = AXES.indexOf(note.axis);
      return { ...note, before: published[b]![a]!, after: taught.intensities[a]! };
    });
    entries.push([id, notes]);
  }
  return Object.fromEntries(entries);
}

/** What batches teach. There must be at least one score or lab figure among them. */
export function learn(...of: Parameters<typeof learning>): Lesson {
  return atOnce(learning(...of));
}

/** The same in parts. */
export function* learning(
  model: Model,
  batches: readonly Tasted[],
  named: Pick<Learned, 'version' | 'made'>,
): Parts<Lesson> {
  const posterior = yield* fitting(model, batches);
  const learned = yield* learnedOfFit(model, posterior, named);
  const published: PublishedNotes[] = [];
  for (const { design } of batches) {
    published.push(predictPoint(model, design).intensities);
    yield;
  }
  const beers = yield* beersOf(model, learned, batches, published);
  return {
    learned,
    beers,
    moved: movedOf(model, learned),
    error: yield* errorOf(posterior, published),
    disagreements: yield* disagreements(posterior),
    settled: posterior.settled,
    next: yield* nextEvidence(posterior),
    agreement: agreementOf(commonTable(batches.map(({ scores }) => scores))),
  };
}
