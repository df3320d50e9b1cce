// What learning brings: seeded invented brewers (tests/engine/learning/brewers.ts), each with a hidden true
// model, two tasters and a noise of a point. Printed after 2 and after 6 batches: the error of new beers
// against no learning, also with the lots of the freezer learned, and with the shared truth known (more
// cannot be learned without the lots); how often 80 % intervals hold; how many new designs meet their
// wishes in the hidden truth; the time of a fit of 12 batches. BREWERS and WISHES hold a run short.
import { mean, median, quantile } from 'simple-statistics';
import { bench, describe } from 'vitest';
import { AXES, type AxisId } from '#shared/ids.ts';
import type { Brief, Schedule } from '#shared/schemas/brief.ts';
import { atOnce } from '#engine/doubt/parts.ts';
import { learnedModel, sdLeft } from '#engine/doubt/learned.ts';
import { Z90 } from '#engine/doubt/scores.ts';
import { BatchModel, type Tasted } from '#engine/learning/evidence.ts';
import { fitted, type Posterior } from '#engine/learning/fit.ts';
import { learn } from '#engine/learning/learn.ts';
import { learnedOfFit } from '#engine/learning/learning.ts';
import { predictPoint } from '#engine/predict/predict.ts';
import { model, type Model } from '#engine/tables/model.ts';
import { answering } from '#optimize/questions/answering.ts';
import { finished } from '#optimize/pacing/clock.ts';
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

const BREWERS = Number(process.env.BREWERS ?? 200);
/** Brewers of whom a design is asked. */
const WISHES = Number(process.env.WISHES ?? BREWERS);
const NEW_BEERS = 5;
const AFTER = [2, 6] as const;
const NAMED = { version: 1, made: '2026-01-01T00:00:00Z' };

const processorMs = () => {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
};

/** Sizes of errors by axis of new beers, one list a way to predict them. */
class Errors {
  readonly ways = new Map<string, number[]>();
  /** Mean error by brewer. */
  readonly brewers = new Map<string, number[]>();

  add(way: string, errors: readonly number[]): void {
    this.ways.set(way, [...(this.ways.get(way) ?? []), ...errors]);
    this.brewers.set(way, [...(this.brewers.get(way) ?? []), mean([...errors])]);
  }

  print(): void {
    const [base, own] = [this.ways.get('published')!, this.brewers.get('published')!];
    for (const [way, all] of this.ways) {
      const change = (of: (list: number[]) => number, a: number[], b: number[]) =>
        `${of(a).toFixed(2)} (${((of(a) / of(b) - 1) * 100).toFixed(1)} %)`;
      const tenth = (list: number[]) => quantile(list, 0.9);
      console.log(
        `${way.padEnd(26)} median ${change(median, all, base)}, mean ${change(mean, all, base)}, ` +
          `worst tenth of errors ${change(tenth, all, base)}, ` +
          `of brewers ${change(tenth, this.brewers.get(way)!, own)}`,
      );
    }
  }
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

/** Half the width of a wish, points. */
const WISH_HALF = 0.75;

/** A wish that some beer of the freezer meets in truth. */
function briefBy(brewer: Brewer): Brief {
  const schedule = scheduleBy(brewer);
  const truth = truthOf(brewer, designBy(model, schedule));
  const strongest = AXES.map((axis, a) => ({ axis, at: truth[a]! }))
    .sort((a, b) => b.at - a.at)
    .slice(0, 3);
  const target = Object.fromEntries(
    strongest.map(({ axis, at }): [AxisId, { at_least: number; at_most: number }] => [
      axis,
      { at_least: Math.max(0, at - WISH_HALF), at_most: Math.min(7, at + WISH_HALF) },
    ]),
  );
  const { batch, stages, freezer } = brewer;
  const candidates = freezer.map((hop) => ({ hop, form: 'pellet_90' as const }));
  return { name: 'a wish', batch, stages, target, candidates, limits: {} } as unknown as Brief;
}

/** Whether the design for a wish meets it in the hidden truth. */
function holds(of: Model, brewer: Brewer, brief: Brief): boolean {
  const found = finished(answering(of, brief, { timeLimitMs: 2000 }));
  if (!found.ok) throw new Error(JSON.stringify(found.problems));
  const blend = found.value.blends[0];
  if (!blend) return false;
  const { batch, stages } = brewer;
  const schedule = { name: 'a design', batch, stages, additions: [...blend.additions] };
  const truth = truthOf(brewer, designBy(model, schedule as Schedule));
  return AXES.every((axis, a) => {
    const wish = brief.target[axis] as { at_least: number; at_most: number } | undefined;
    return !wish || (truth[a]! >= wish.at_least && truth[a]! <= wish.at_most);
  });
}

let simulated = false;
/** Once: the bench would repeat it to no end. */
function simulate(): void {
  if (simulated) return;
  simulated = true;
  const errors = new Errors();
  const met = new Map<string, number>();
  let [inside, all] = [0, 0];
  for (let seed = 1; seed <= BREWERS; seed += 1) {
    const brewer = brewerOf(seed);
    const batches = Array.from({ length: Math.max(...AFTER) }, (_, i) =>
      tasted(brewer, `b${i}`, scheduleBy(brewer)),
    );
    const beers = Array.from({ length: NEW_BEERS }, () => {
      const schedule = scheduleBy(brewer);
      return { schedule, truth: truthOf(brewer, designBy(model, schedule)) };
    });
    const told = (way: string, off: (schedule: Schedule, truth: number[]) => number[]) =>
      errors.add(
        way,
        beers.flatMap(({ schedule, truth }) => off(schedule, truth)),
      );
    told('published', (s, t) => offBy(model, s, t));
    const models = new Map([['published', model]]);
    for (const count of AFTER) {
      const posterior = fitted(model, batches.slice(0, count));
      const learned = atOnce(learnedOfFit(model, posterior, NAMED));
      const taught = learnedModel(model, learned);
      models.set(`after ${count}`, taught);
      told(`after ${count}`, (s, t) => offBy(taught, s, t));
      told(`after ${count}, lots too`, (s, t) => offWithLots(posterior, s, t));
      if (count !== Math.max(...AFTER)) continue;
      for (const [id, figure] of Object.entries(learned.parameters)) {
        if (figure.score === undefined) continue;
        const hidden = hiddenScore(id, brewer.shared.get(id)!);
        all += 1;
        if (Math.abs(hidden - figure.score) <= Z90 * sdLeft(figure)) inside += 1;
      }
    }
    const known = knownTruth(brewer);
    told('shared truth known', (s, t) => offBy(known, s, t));
    if (seed > WISHES) continue;
    const brief = briefBy(brewer);
    for (const [way, of] of models) {
      met.set(way, (met.get(way) ?? 0) + Number(holds(of, brewer, brief)));
    }
  }
  console.log(`${BREWERS} brewers, ${NEW_BEERS} new beers each`);
  errors.print();
  console.log(`80 % intervals hold in ${((100 * inside) / all).toFixed(1)} % of ${all}`);
  const asked = Math.min(WISHES, BREWERS);
  for (const [way, count] of met) console.log(`designs that hold, ${way}: ${count} of ${asked}`);
}

function fitOfTwelve(): void {
  const brewer = brewerOf(7);
  const batches = Array.from({ length: 12 }, (_, i) => tasted(brewer, `b${i}`, scheduleBy(brewer)));
  const times = Array.from({ length: 7 }, () => {
    const start = processorMs();
    learn(model, batches, NAMED);
    return processorMs() - start;
  });
  console.log(`a lesson of 12 batches: median ${median(times).toFixed(0)} ms of the processor`);
}

describe('learning', () => {
  bench('invented brewers', simulate, {
    iterations: 1,
    time: 0,
    warmupIterations: 0,
    warmupTime: 0,
  });
  bench('a fit', fitOfTwelve, { iterations: 1, time: 0, warmupIterations: 0, warmupTime: 0 });
});
