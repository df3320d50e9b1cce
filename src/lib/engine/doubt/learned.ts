// A model with what was learned from tastings: its rows are moved and narrowed, so that prediction, search and
// chance read them like published ones, and its unknowns are drawn jointly, because the evidence correlates
// them. Unknowns that were not moved keep exactly the same draws.
import { AXES, COMPOUNDS, type AxisId, type CompoundId } from '#shared/ids.ts';
import type { Interval } from '#shared/interval.ts';
import { nameKey } from '#shared/name-key.ts';
import type { Learned, LearnedFigure } from '#shared/schemas/learned.ts';
import type { Cell, Hop } from '#shared/schemas/tables.ts';
import type { Model } from '#engine/tables/model.ts';
import { Newest } from '#engine/tables/newest.ts';
import { weightRange } from '#engine/symbols/rows.ts';
import { rootOf, solvedBelow } from './cholesky.ts';
import { figureAt, rangeWithin } from './scores.ts';

/** Id of an unknown that all batches share, as its leaf carries it. */
export const parameterKey = (id: string) => `parameter/${id}`;
export const thresholdKey = (compound: CompoundId) => `threshold/${compound}`;
export const weightKey = (axis: AxisId, driver: string) => `weight/${axis}/${driver}`;
/** Id of what tasters report of a variety on an axis. */
export const reportedKey = (hopId: string, axis: AxisId) => `cell/${hopId}/reported/${axis}`;

/** An unknown: its range, and the name under which it is drawn. */
interface SharedUnknown {
  readonly range: Interval;
  readonly drawnAs: string;
}

const unknowns = new WeakMap<Model, ReadonlyMap<string, SharedUnknown>>();

/** All unknowns of a model that every batch shares, by id. */
export function sharedUnknowns(model: Model): ReadonlyMap<string, SharedUnknown> {
  const known = unknowns.get(model);
  if (known) return known;
  const all = new Map<string, SharedUnknown>();
  for (const [id, row] of Object.entries(model.parameters)) {
    if (!row.fixed) all.set(parameterKey(id), { range: row, drawnAs: `parameter ${id}` });
  }
  for (const c of COMPOUNDS) {
    const { threshold } = model.compounds[c];
    if (threshold) all.set(thresholdKey(c), { range: threshold, drawnAs: `threshold ${c}` });
  }
  for (const row of model.weights) {
    const name = `weight ${row.axis} ${row.driver}`;
    all.set(weightKey(row.axis, row.driver), { range: weightRange(row), drawnAs: name });
  }
  for (const hop of model.hops) {
    for (const axis of AXES) {
      const range = hop.reported[axis];
      const drawnAs = `reported ${nameKey(hop.name)} ${axis}`;
      if (range) all.set(reportedKey(hop.id, axis), { range, drawnAs });
    }
  }
  unknowns.set(model, all);
  return all;
}

/** Standard deviation that is left of a score whose prior standard deviation is 1. */
export function sdLeft({ joint = [] }: Pick<LearnedFigure, 'joint'>): number {
  return Math.sqrt(Math.max(0, 1 - joint.reduce((sum, part) => sum + part * part, 0)));
}

/** A row as learned; the same object where nothing was learned about it. */
function moved<T extends Interval>(row: T, figure: LearnedFigure | undefined): T {
  if (!figure) return row;
  if (figure.score !== undefined) {
    return { ...row, ...rangeWithin(row, figure.score, sdLeft(figure)) };
  }
  const by = figure.factor;
  return { ...row, low: row.low * by, central: row.central * by, high: row.high * by };
}

function movedHop(hop: Hop, of: Learned['parameters']): Hop {
  const changed = AXES.filter((axis) => hop.reported[axis] && of[reportedKey(hop.id, axis)]);
  if (changed.length === 0) return hop;
  const cells = changed.map((axis): [AxisId, Cell] => [
    axis,
    moved(hop.reported[axis]!, of[reportedKey(hop.id, axis)]),
  ]);
  return { ...hop, reported: { ...hop.reported, ...Object.fromEntries(cells) } };
}

/** Learned models in use, by what was learned; the newest are kept. */
const models = new Newest<Model, string, Model>(3);

/** The model with what was learned; the same object for the same learning, as long as it is in use. */
export function learnedModel(plain: Model, learned: Learned | null | undefined): Model {
  if (!learned) return plain;
  return models.of(plain, JSON.stringify(learned), () => newModel(plain, learned));
}

function newModel(plain: Model, learned: Learned): Model {
  const { parameters: of } = learned;
  const rows = Object.entries(plain.parameters).map(([id, row]) => [
    id,
    moved(row, of[parameterKey(id)]),
  ]);
  const compounds = COMPOUNDS.map((c) => {
    const { threshold } = plain.compounds[c];
    const own = threshold && { threshold: moved(threshold, of[thresholdKey(c)]) };
    return [c, { ...plain.compounds[c], ...own }];
  });
  return {
    ...plain,
    plain,
    learned,
    parameters: Object.fromEntries(rows) as Model['parameters'],
    compounds: Object.fromEntries(compounds) as Model['compounds'],
    weights: plain.weights.map((row) => {
      const figure = of[weightKey(row.axis, row.driver)];
      if (!figure) return row;
      const range = moved(weightRange(row), figure);
      return { ...row, weight: range.central, range };
    }),
    hops: plain.hops.map((hop) => movedHop(hop, of)),
  };
}

const drawn = new WeakMap<Model, Map<string, LearnedDraws>>();

/** Draws of the learned unknowns, by id; all others are drawn as published. */
type LearnedDraws = ReadonlyMap<string, Float64Array>;
const NOTHING: LearnedDraws = new Map();

/**
 * Joint draws of what was learned. Published scores z become m + z − P (I + F)⁻¹ Pᵀ z, where the columns of P
 * are the directions of the evidence and F is the root of I − PᵀP. The result has the covariance I − P Pᵀ (a
 * square-root update, Andrews 1968) and does not change what no direction involves.
 * @param scoresOf standard normal scores by the name of an unknown, one for each draw.
 * @param key of the draws.
 */
export function learnedDraws(
  model: Model,
  scoresOf: (drawnAs: string) => Float64Array,
  key: string,
): LearnedDraws {
  const { learned, plain } = model;
  if (!learned || !plain) return NOTHING;
  const known = drawn.get(model) ?? new Map<string, LearnedDraws>();
  drawn.set(model, known);
  const draws = known.get(key) ?? newDraws(plain, learned, scoresOf);
  known.set(key, draws);
  return draws;
}

function newDraws(
  plain: Model,
  { parameters }: Learned,
  scoresOf: (drawnAs: string) => Float64Array,
): LearnedDraws {
  const all = sharedUnknowns(plain);
  const moving = Object.entries(parameters).flatMap(([id, { score, joint = [] }]) => {
    const unknown = all.get(id);
    if (!unknown || score === undefined) return [];
    return [{ id, ...unknown, score, joint, scores: scoresOf(unknown.drawnAs) }];
  });
  const count = Math.max(0, ...moving.map(({ joint }) => joint.length));
  const samples = moving[0]?.scores.length ?? 0;
  // F, and I + F.
  const products = new Float64Array(count * count);
  for (let i = 0; i < count; i += 1) {
    for (let j = 0; j < count; j += 1) {
      const common = moving.reduce((s, { joint: p }) => s + (p[i] ?? 0) * (p[j] ?? 0), 0);
      products[i * count + j] = (i === j ? 1 : 0) - common;
    }
  }
  const root = rootOf(products, count);
  if (!root) return NOTHING;
  for (let i = 0; i < count; i += 1) root[i * count + i]! += 1;
  const shifts = moving.map(({ score }) => new Float64Array(samples).fill(score));
  const along = new Float64Array(count);
  for (let k = 0; k < samples; k += 1) {
    along.fill(0);
    for (const { joint, scores } of moving) {
      for (let d = 0; d < joint.length; d += 1) along[d]! += joint[d]! * scores[k]!;
    }
    const taken = solvedBelow(root, count, along);
    moving.forEach(({ joint, scores }, u) => {
      let score = scores[k]!;
      for (let d = 0; d < joint.length; d += 1) score -= joint[d]! * taken[d]!;
      shifts[u]![k]! += score;
    });
  }
  return new Map(
    moving.map(({ id, range }, u) => [id, shifts[u]!.map((score) => figureAt(range, score))]),
  );
}
