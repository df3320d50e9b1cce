// Speed of the search on briefs the size of a large hop table: 120 hops in two forms at three stages, 40 L, at most
// 5 hops, least addition 10 g, steps of 1 g, every dry-hop load. The yardstick in the same run: the whole mixed-integer
// program at one fixed load (that of the answer) in HiGHS's WebAssembly build, to a gap of 0.1 %. The search is timed
// to the same gap and to the last weighing step. Printed: times to the proof and to the first blend, longest time the
// thread is held, median of the pairwise ratios. Beside it a stock list of 5,000 lots.
import { bench, describe } from 'vitest';
import { quantileSorted } from 'simple-statistics';
import { model } from '#engine/tables/model.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { design } from '#optimize/questions/design.ts';
import { problemOf } from '#optimize/problem/stating.ts';
import { PROVEN_GAP } from '#optimize/search/incumbent.ts';
import { Search } from '#optimize/search/search.ts';
import { loadOf } from '#optimize/problem/evaluation.ts';
import { randomBrief, soundProblem } from '../optimize/support/instances.ts';
import { readingOf } from '../optimize/support/oracle-reading.ts';
import { bestAt } from '../optimize/support/oracle.ts';

const BRIEFS = 60;
/** Briefs given to HiGHS as well: a program takes seconds. */
const PAIRS = 20;
const SECONDS_FOR_PROGRAM = 20;

/** Wishes of the usual width, and so tight that only a few hops together can meet them. */
const KINDS = {
  usual: {},
  tight: { hidden: 5, room: [0.03, 0.15] },
} as const;

function briefOf(i: number, kind: keyof typeof KINDS): Brief {
  return randomBrief(1000 + i, {
    ...KINDS[kind],
    hops: 120,
    forms: 2,
    stages: ['mash', 'hot_steep', 'dry_hop'],
    wishes: 3 + (i % 5),
    beerL: 40,
    hopsAtMost: 5,
    smallest: 10,
    step: 1,
    ibu: i % 2 === 0,
  });
}

interface Measured {
  /** From the brief to the stated problem, to the first blend, to a gap of 0.1 %, to the end, ms. */
  readonly stated: number;
  readonly first: number;
  readonly within: number;
  readonly proven: number;
  /** Longest single step, ms. */
  readonly held: number;
  readonly nodes: number;
  /** What of the objective is not proven, %. */
  readonly gap: number;
  /** Dry hops of the best blend, g; `null` where none was found. */
  readonly dryGrams: number | null;
}

function measured(brief: Brief, most = Infinity): Measured {
  const start = performance.now();
  const problem = problemOf(model, brief);
  if (!problem.ok) throw new Error(JSON.stringify(problem.problems));
  const since = () => performance.now() - start;
  const stated = since();
  const search = new Search(problem.value, 'objective', 0, 0);
  let first = NaN;
  let within = NaN;
  let held = since() - stated;
  for (let more = true; more && since() < most;) {
    const before = since();
    more = search.step();
    held = Math.max(held, since() - before);
    const { incumbent, bound } = search.state;
    if (!incumbent) continue;
    if (Number.isNaN(first)) first = since();
    if (Number.isNaN(within) && incumbent.merit - bound <= PROVEN_GAP * incumbent.merit) {
      within = since();
    }
  }
  const proven = since();
  if (Number.isNaN(within)) within = proven;
  const { incumbent, bound } = search.state;
  const { beerL } = problem.value;
  return {
    stated,
    first,
    within,
    proven,
    held,
    nodes: search.nodes,
    gap: incumbent ? (100 * (incumbent.merit - bound)) / incumbent.merit : 100,
    dryGrams: incumbent && loadOf(problem.value, incumbent.doses) * beerL,
  };
}

/** The whole answer: stated, proven, ties broken, predicted with its bands; ms. */
function answered(brief: Brief): number {
  const start = performance.now();
  const outcome = design(model, brief);
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return performance.now() - start;
}

function summary(name: string, values: readonly number[], unit: string): void {
  const sorted = [...values].sort((a, b) => a - b);
  const [median, p95] = [0.5, 0.95].map((p) => quantileSorted(sorted, p).toFixed(1));
  console.log(`${name}: median ${median} ${unit}, 95 % ${p95} ${unit} (${sorted.length})`);
}

describe.each(Object.keys(KINDS) as (keyof typeof KINDS)[])(
  'the proof over all loads, %s wishes',
  (kind) => {
    const briefs = Array.from({ length: BRIEFS }, (_, i) => briefOf(i, kind));
    briefs.slice(0, 5).forEach((brief) => measured(brief));
    const met = briefs.filter((brief) => measured(brief, 5000).dryGrams !== null);
    const runs = met.map((brief) => measured(brief));
    console.log(kind);
    const of = (pick: (m: Measured) => number) => runs.map(pick);
    summary(
      'stated',
      of((m) => m.stated),
      'ms',
    );
    summary(
      'first blend',
      of((m) => m.first),
      'ms',
    );
    summary(
      'proven within 0.1 %',
      of((m) => m.within),
      'ms',
    );
    summary(
      'proven to the last step',
      of((m) => m.proven),
      'ms',
    );
    summary(
      'longest step',
      of((m) => m.held),
      'ms',
    );
    summary(
      'parts',
      of((m) => m.nodes),
      '',
    );

    summary('the whole answer, ties and bands with it', met.map(answered), 'ms');

    const ratios: { same: number; last: number }[] = [];
    for (let i = 0; ratios.length < PAIRS && i < met.length; i += 2) {
      const { stated, within, proven, dryGrams } = measured(met[i]!);
      const reading = readingOf(met[i]!);
      const start = performance.now();
      bestAt(reading, dryGrams!, {
        gap: PROVEN_GAP,
        seconds: SECONDS_FOR_PROGRAM,
      });
      const program = performance.now() - start;
      ratios.push({ same: program / (within - stated), last: program / (proven - stated) });
    }
    summary(
      'times faster than the program at one load, both to 0.1 %',
      ratios.map((r) => r.same),
      '',
    );
    summary(
      'the same, the search to the last step',
      ratios.map((r) => r.last),
      '',
    );

    bench('one brief of the size of a large hop table', () => void measured(briefs[1]!), {
      iterations: 10,
    });
  },
);

describe('a stock list of 5,000 lots', () => {
  const shape = { hops: 500, lotsPerHop: 10, forms: 1, wishes: 4, beerL: 40 } as const;
  const stages = ['mash', 'hot_steep', 'dry_hop'] as const;
  const exact = { hopsAtMost: 5, smallest: 10, step: 1 };
  const kinds = {
    'free doses': {},
    'five hops, whole grams': exact,
    'the same with a bitterness window': { ...exact, ibu: true },
  };
  for (const [name, limits] of Object.entries(kinds)) {
    const runs = [1, 2, 3, 4, 5].map((seed) =>
      measured(randomBrief(5000 + seed, { ...shape, ...limits, stages }), 5000),
    );
    console.log(name);
    summary(
      'first blend',
      runs.map((m) => m.first),
      'ms',
    );
    summary(
      'proven, or 5 s',
      runs.map((m) => m.proven),
      'ms',
    );
    summary(
      'longest step',
      runs.map((m) => m.held),
      'ms',
    );
    summary(
      'gap then',
      runs.map((m) => m.gap),
      '%',
    );
  }
  bench('stating it', () => void soundProblem(randomBrief(5001, { ...shape, stages })), {
    iterations: 3,
  });
});
