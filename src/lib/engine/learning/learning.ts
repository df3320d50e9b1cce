// Decides what of a fit is kept: how far each shared unknown moved, the doubt that is left, and the directions
// in which the evidence correlates them. What belongs to one delivery of hops is not kept.
import { median } from 'simple-statistics';
import { AXES } from '#shared/ids.ts';
import { LEARNED_SCORE_MAX, type Learned, type LearnedFigure } from '#shared/schemas/learned.ts';
import type { Model } from '#engine/tables/model.ts';
import { findHop, type Lot } from '#engine/lot/composition.ts';
import { quantilesOf, sampleDesign } from '#engine/doubt/bands.ts';
import { directionsOf, dot, solvedBelow } from '#engine/doubt/cholesky.ts';
import { learnedModel, parameterKey, sdLeft, sharedUnknowns } from '#engine/doubt/learned.ts';
import type { Parts } from '#engine/doubt/parts.ts';
import { MIDDLES } from '#engine/doubt/sampling.ts';
import { figureAt, spreadOfLog } from '#engine/doubt/scores.ts';
import type { Design } from '#engine/predict/design.ts';
import { predictPoint } from '#engine/predict/predict.ts';
import { BIAS_SD, tasterKey, type Posterior } from './fit.ts';

/** Share of an unknown's variance that the directions left out may hold. */
const REST = 0.003;
/** A figure that moved or narrowed by less than this share of its doubt stays as published. */
const LEAST_MOVED = 0.02;
const LEAST_TAKEN = 0.02;
const DIGITS = 5;

const clamped = (score: number) => Math.max(-LEARNED_SCORE_MAX, Math.min(LEARNED_SCORE_MAX, score));
const rounded = (value: number) => Number(value.toFixed(DIGITS));

/** By how much the evidence reduced the covariance of some unknowns: JᵀA⁻¹J, row by row. */
export function* taken(posterior: Posterior, places: readonly number[]): Parts<Float64Array> {
  const { observations, rows, root, biases, scores } = posterior;
  const n = observations.length;
  const slopes = rows.map((row) => row.addTo(new Float64Array(scores.length)));
  const seen: Float64Array[] = [];
  for (const place of places) {
    const of = new Float64Array(n);
    for (let i = 0; i < n; i += 1) {
      of[i] = biases[i] === place ? BIAS_SD : slopes[observations[i]!.curve]![place]!;
    }
    seen.push(solvedBelow(root, n, of));
    yield;
  }
  const size = places.length;
  const all = new Float64Array(size * size);
  for (let u = 0; u < size; u += 1) {
    yield;
    for (let v = 0; v <= u; v += 1) {
      const sum = dot(seen[u]!, seen[v]!);
      all[u * size + v] = sum;
      all[v * size + u] = sum;
    }
  }
  return all;
}

/** The part of a fit that is kept. */
export function* learnedOfFit(
  model: Model,
  posterior: Posterior,
  { version, made }: Pick<Learned, 'version' | 'made'>,
): Parts<Learned> {
  const { unknowns, scores } = posterior;
  const shared = unknowns.shared();
  const all = yield* taken(
    posterior,
    shared.map(([, place]) => place),
  );
  const size = shared.length;
  const touched = shared.flatMap(([id, place], u) =>
    all[u * size + u]! > LEAST_TAKEN || Math.abs(scores[place]!) > LEAST_MOVED
      ? [{ id, place, u }]
      : [],
  );
  const own = new Float64Array(touched.length * touched.length);
  touched.forEach((a, i) =>
    touched.forEach((b, j) => (own[i * touched.length + j] = all[a.u * size + b.u]!)),
  );
  const directions = directionsOf(own, touched.length, REST);
  const ranges = sharedUnknowns(model);
  const parameters: Record<string, LearnedFigure> = {};
  touched.forEach(({ id, place }, i) => {
    const { range } = ranges.get(id)!;
    const score = rounded(clamped(scores[place]!));
    const joint = directions.map((direction) => rounded(direction[i]!));
    const left = sdLeft({ joint });
    parameters[id] = {
      factor: rounded(figureAt(range, score) / range.central),
      sd_log: rounded(spreadOfLog(range, score, left)),
      score,
      joint,
    };
  });
  const tasters: Learned['tasters'] = {};
  for (const [taster, noise] of posterior.noise) {
    const place = unknowns.placeOf(tasterKey(taster))!;
    const left = 1 - (yield* taken(posterior, [place]))[0]!;
    tasters[taster] = {
      bias: rounded(BIAS_SD * scores[place]!),
      bias_sd: rounded(BIAS_SD * Math.sqrt(Math.max(0, left))),
      noise: rounded(noise),
    };
  }
  const from = posterior.batches.map(({ of }) => of.id);
  const learned = { version, made, from, parameters, tasters };
  const designs = posterior.batches.slice(-MIDDLE_BEERS).map(({ of }) => of.design);
  return {
    ...learned,
    parameters: { ...parameters, ...(yield* middlesOf(model, learned, designs)) },
  };
}

/** Draws by which medians are found, and the number of newest beers for which they are: more give the same. */
const MIDDLE_SAMPLING = { samples: 100, seed: 20 };
const MIDDLE_BEERS = 6;

/** The same design with the hops of another model. */
export function designIn(model: Model, design: Design): Design {
  const lots = new Map<Lot, Lot>();
  const lotIn = (lot: Lot) => {
    const own = lots.get(lot) ?? { ...lot, reported: findHop(model, lot.hop)?.reported ?? {} };
    lots.set(lot, own);
    return own;
  };
  return { ...design, additions: design.additions.map((a) => ({ ...a, lot: lotIn(a.lot) })) };
}

/**
 * By axis, the distance of the median of the draws from the prediction at the central figures; `null` where the
 * axis has no signal.
 */
function liftsOf(model: Model, design: Design): (number | null)[] {
  const { signals } = sampleDesign(model, design, MIDDLE_SAMPLING);
  const point = predictPoint(model, design);
  return AXES.map((_, a) => {
    const [middle] = quantilesOf(signals[a]!, [0.5]);
    return point.signals[a]! > 0 && middle! > 0 ? middle! / point.signals[a]! : null;
  });
}

/**
 * Factors from the prediction at central figures to the median of the draws, by axis: smaller than published
 * where the doubt is smaller. Published and learned factors are computed for the newest beers with the same
 * draws, so that chance and the peculiarities of these beers cancel: where nothing was learned the ratio is 1.
 */
function* middlesOf(
  model: Model,
  learned: Learned,
  designs: readonly Design[],
): Parts<Record<string, LearnedFigure>> {
  const after = learnedModel(model, learned);
  const ratios = AXES.map((): number[] => []);
  for (const design of designs) {
    yield;
    const before = liftsOf(model, design);
    yield;
    liftsOf(after, designIn(after, design)).forEach((lift, a) => {
      if (lift !== null && before[a] !== null) ratios[a]!.push(lift / before[a]!);
    });
  }
  return Object.fromEntries(
    AXES.flatMap((axis, a) => {
      const [factor] = ratios[a]!.length > 0 ? [median(ratios[a]!)] : [];
      if (factor === undefined) return [];
      return [[parameterKey(`${MIDDLES}${axis}`), { factor: rounded(factor), sd_log: 0 }]];
    }),
  );
}
