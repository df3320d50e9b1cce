// What one invented brewer (tests/engine/learning/brewers.ts) shows of learning: how far models with and without
// it miss beers in the hidden truth, how often the ranges left hold, and by how much designs miss their wishes.
// Plain figures, so that a run may go in pieces and in several processes and be put together from files.
import { AXES, type AxisId } from '#shared/ids.ts';
import type { Brief, Schedule } from '#shared/schemas/brief.ts';
import { atOnce } from '#engine/doubt/parts.ts';
import { learnedModel, sdLeft } from '#engine/doubt/learned.ts';
import { Z90 } from '#engine/doubt/scores.ts';
import { BatchModel, type Tasted } from '#engine/learning/evidence.ts';
import { fitted, type Posterior } from '#engine/learning/fit.ts';
import { learnedOfFit } from '#engine/learning/learning.ts';
import { predictPoint } from '#engine/predict/predict.ts';
import { model, type Model } from '#engine/tables/model.ts';
import { answering } from '#optimize/questions/answering.ts';
import { finished } from '#optimize/pacing/clock.ts';
import { HOLDS_IN_LOTS } from '#state/documents/documents.ts';
import { exactMiddles } from './exact-learning.ts';
import {
  brewerOf,
  designBy,
  hiddenScore,
  knownTruth,
  scheduleBy,
  tasted,
  truthOf,
  type Brewer,
} from '../engine/learning/brewers.ts';

const EXACT_DRAWS = 800;
/** Time for a design that is to hold in a share of lots: what it may take is found long before, ms. */
const HOLD_MS = Number(process.env.HOLD_MS ?? 6000);
/** Notes a wish is about, and half its width in points. */
export const WISHED = 3;
export const WISH_HALF = 0.75;
export const NEW_BEERS = 5;
const AFTER = [2, 6] as const;
const NAMED = { version: 1, made: '2026-01-01T00:00:00Z' };

/** Beers and how far each way to predict them is off, by beer, then by axis, in points. */
export interface BeersShown {
  readonly truths: readonly (readonly number[])[];
  readonly off: Readonly<Record<string, readonly (readonly number[])[]>>;
}

export interface BrewerShown {
  readonly seed: number;
  /** Beers never brewed before. */
  readonly fresh: BeersShown;
  /** The very beers that were tasted, of the same lots: after 2 batches those two, after 6 those six. */
  readonly again: Readonly<Record<string, BeersShown>>;
  /** Learned figures, and those of them that lie in the 80 % left to them. */
  readonly learned: number;
  readonly inside: number;
  /** By model, by how much its design misses a wish; `null` where it found none. */
  readonly missed: Readonly<Record<string, number | null>>;
}

/** Places of the notes a wish is about. */
export function strongestOf(truth: readonly number[]): number[] {
  return [...truth.keys()].sort((a, b) => truth[b]! - truth[a]!).slice(0, WISHED);
}

function offBy(of: Model, schedule: Schedule, truth: readonly number[]): number[] {
  const { intensities } = predictPoint(of, designBy(of, schedule));
  return AXES.map((_, a) => Math.abs(intensities[a]! - truth[a]!));
}

/** The same with the lots as the fit has them. */
function offWithLots(
  { unknowns, scores }: Posterior,
  schedule: Schedule,
  truth: number[],
): number[] {
  const design = designBy(model, schedule);
  const deliveries = design.additions.map(({ lot }) => lot.hop);
  const of: Tasted = { id: 'new', design, deliveries, scores: [], lab: [] };
  const beer = new BatchModel(model, of, unknowns);
  const all = new Float64Array(unknowns.count);
  all.set(scores);
  beer.at(all);
  return AXES.map((axis, a) => Math.abs(beer.value({ axis }) - truth[a]!));
}

/** A wish that some beer of the freezer meets in truth. */
function briefBy(brewer: Brewer): Brief {
  const schedule = scheduleBy(brewer);
  const truth = truthOf(brewer, designBy(model, schedule));
  const target = Object.fromEntries(
    strongestOf(truth).map((a): [AxisId, { at_least: number; at_most: number }] => [
      AXES[a]!,
      { at_least: Math.max(0, truth[a]! - WISH_HALF), at_most: Math.min(7, truth[a]! + WISH_HALF) },
    ]),
  );
  const { batch, stages, freezer } = brewer;
  const candidates = freezer.map((hop) => ({ hop, form: 'pellet_90' as const }));
  const limits = { ban: [], require: [] };
  return { name: 'a wish', batch, stages, target, candidates, limits, minimise: 'weight' };
}

/**
 * By how much, in points, the design for a wish misses it in the hidden truth; `null` where there is none.
 * @param lots the share of lots it is asked to hold in; 0: in the middle lots alone.
 */
function missOf(of: Model, brewer: Brewer, brief: Brief, lots: number): number | null {
  const limits = { ...brief.limits, ...(lots > 0 && { holds_in_lots_at_least: lots }) };
  const timeLimitMs = lots > 0 ? HOLD_MS : 2000;
  const found = finished(answering(of, { ...brief, limits }, { timeLimitMs }));
  if (!found.ok) throw new Error(JSON.stringify(found.problems));
  const blend = found.value.blends[0];
  if (!blend) return null;
  const { batch, stages } = brewer;
  const additions = [...blend.additions];
  const truth = truthOf(brewer, designBy(model, { name: 'a design', batch, stages, additions }));
  const misses = AXES.map((axis, a) => {
    const wish = brief.target[axis] as { at_least: number; at_most: number } | undefined;
    return wish ? Math.max(wish.at_least - truth[a]!, truth[a]! - wish.at_most, 0) : 0;
  });
  return Math.max(...misses);
}

/**
 * @param exact whether the best learner there can be is asked too (a minute of work).
 * @param wishes whether designs are asked for.
 */
export function shownBy(seed: number, exact: boolean, wishes: boolean): BrewerShown {
  const brewer = brewerOf(seed);
  const truthBy = (schedule: Schedule) => truthOf(brewer, designBy(model, schedule));
  const brewed = Array.from({ length: Math.max(...AFTER) }, () => scheduleBy(brewer));
  const batches = brewed.map((schedule, i) => tasted(brewer, `b${i}`, schedule));
  const beers = Array.from({ length: NEW_BEERS }, () => scheduleBy(brewer));
  const truths = beers.map(truthBy);
  const off: Record<string, number[][]> = {
    published: beers.map((s, i) => offBy(model, s, truths[i]!)),
  };
  const again: Record<string, BeersShown> = {};
  const models = new Map([['published', model]]);
  let [inside, count] = [0, 0];
  for (const after of AFTER) {
    const posterior = fitted(model, batches.slice(0, after));
    const learned = atOnce(learnedOfFit(model, posterior, NAMED));
    const taught = learnedModel(model, learned);
    const way = `after ${after}`;
    models.set(way, taught);
    off[way] = beers.map((s, i) => offBy(taught, s, truths[i]!));
    off[`${way}, lots too`] = beers.map((s, i) => offWithLots(posterior, s, truths[i]!));
    const same = brewed.slice(0, after);
    const known = same.map(truthBy);
    again[way] = {
      truths: known,
      off: {
        published: same.map((s, i) => offBy(model, s, known[i]!)),
        [way]: same.map((s, i) => offBy(taught, s, known[i]!)),
        [`${way}, lots too`]: same.map((s, i) => offWithLots(posterior, s, known[i]!)),
      },
    };
    if (after !== Math.max(...AFTER)) continue;
    for (const [id, figure] of Object.entries(learned.parameters)) {
      if (figure.score === undefined) continue;
      const hidden = hiddenScore(id, brewer.shared.get(id)!);
      count += 1;
      if (Math.abs(hidden - figure.score) <= Z90 * sdLeft(figure)) inside += 1;
    }
  }
  const known = knownTruth(brewer);
  models.set('shared truth known', known);
  off['shared truth known'] = beers.map((s, i) => offBy(known, s, truths[i]!));
  if (exact) {
    const designs = beers.map((schedule) => designBy(model, schedule));
    const middles = exactMiddles(batches, designs, EXACT_DRAWS, seed);
    off['best learner after 6'] = truths.map((truth, i) =>
      truth.map((at, a) => Math.abs(middles[i]![a]! - at)),
    );
  }
  const missed: Record<string, number | null> = {};
  if (wishes) {
    const brief = briefBy(brewer);
    for (const lots of [0, HOLDS_IN_LOTS]) {
      for (const [name, of] of models) {
        const way = lots > 0 ? `${name}, asked to hold in ${lots * 100} % of lots` : name;
        missed[way] = missOf(of, brewer, brief, lots);
      }
    }
  }
  return { seed, fresh: { truths, off }, again, learned: count, inside, missed };
}

export function twelveOf(seed: number): Tasted[] {
  const brewer = brewerOf(seed);
  return Array.from({ length: 12 }, (_, i) => tasted(brewer, `b${i}`, scheduleBy(brewer)));
}
