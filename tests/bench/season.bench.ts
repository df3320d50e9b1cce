// How long a season takes until its plan is known to 1 % and until it is proven, printed: six briefs on forty lots
// that all of them want. Processor time, since a busy machine stretches the other.
import { bench, describe } from 'vitest';
import { model } from '#engine/tables/model.ts';
import { finished } from '#optimize/pacing/clock.ts';
import { SeasonSearch } from '#optimize/season/season-search.ts';
import { statingSeason } from '#optimize/season/season-problem.ts';
import { randomSeason, type SeasonShape } from '../optimize/support/seasons.ts';

const SHAPE: SeasonShape = {
  batches: 6,
  lots: 40,
  grams: [20, 120],
  hopsAtMost: 4,
  smallest: 5,
  step: 1,
};
const SEEDS = [1, 2, 3, 4, 5, 6, 7, 8];
/** Gap at which a plan counts as known. */
const KNOWN = 0.01;
const GIVEN_UP_MS = 10_000;
const LOOK_EVERY = 50;

const processorMs = () => process.cpuUsage().user / 1000;

interface Planned {
  readonly known: number;
  readonly gap: number;
  readonly took: number;
}

function planned(seed: number, shape: SeasonShape): Planned {
  const start = processorMs();
  const stated = finished(statingSeason(model, randomSeason(seed, shape)));
  if (!stated.ok) throw new Error(JSON.stringify(stated.problems));
  const search = new SeasonSearch(stated.value, 'objective');
  let known = Infinity;
  const gap = () => (search.merit < Infinity ? 1 - search.bound / search.merit : 1);
  // To ask for the time at every step took a fifth of it.
  for (let step = 1; search.step(); step += 1) {
    if (step % LOOK_EVERY > 0) continue;
    const took = processorMs() - start;
    if (known === Infinity && gap() <= KNOWN) known = took;
    if (took > GIVEN_UP_MS) break;
  }
  if (known === Infinity && gap() <= KNOWN) known = processorMs() - start;
  return { known, gap: gap(), took: processorMs() - start };
}

describe('a season of 6 briefs on 40 lots', () => {
  const shapes: Readonly<Record<string, SeasonShape>> = {
    'by weight': SHAPE,
    'by weight, half as much of each lot': { ...SHAPE, grams: [10, 60] },
    'by cost, a third bought in 100 g': { ...SHAPE, minimise: 'cost', sold: 0.3, packageG: 100 },
  };
  for (const [name, shape] of Object.entries(shapes)) {
    bench(
      name,
      () => {
        for (const seed of SEEDS) {
          const { known, gap, took } = planned(seed, shape);
          const report = `1 % after ${known.toFixed(0)} ms, gap ${(gap * 100).toFixed(2)} % after ${took.toFixed(0)} ms`;
          console.log(`${name}, season ${seed}: ${report}`);
        }
      },
      { iterations: 1, warmupIterations: 0, time: 0, warmupTime: 0 },
    );
  }
});
