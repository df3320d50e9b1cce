// Speed of the search on briefs the size of a large hop table: 120 hops in two forms at three stages,
// 40 L, at most 5 hops, least addition 10 g, steps of 1 g, every dry-hop load. Measured in one run,
// against the whole mixed-integer program at one fixed load (that of the answer) in HiGHS's
// WebAssembly build. Printed: times to the proof and to the first blend, median of the pairwise ratios.
import { bench, describe } from 'vitest';
import { quantileSorted } from 'simple-statistics';
import { model } from '#engine/model.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { problemOf } from '#optimize/stating.ts';
import { Search } from '#optimize/search.ts';
import { loadOf } from '#optimize/truth.ts';
import { randomBrief } from '../optimize/instances.ts';
import { readingOf } from '../optimize/oracle-reading.ts';
import { bestAt } from '../optimize/oracle.ts';

const BRIEFS = 60;
/** Briefs given to HiGHS as well: a program takes seconds. */
const PAIRS = 8;
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
  /** From the brief to the stated problem, to the first blend, to the proof, ms. */
  readonly stated: number;
  readonly first: number;
  readonly proven: number;
  readonly parts: number;
  readonly search: Search;
}

function measured(brief: Brief): Measured {
  const start = performance.now();
  const problem = problemOf(model, brief);
  if (!problem.ok) throw new Error(JSON.stringify(problem.problems));
  const stated = performance.now() - start;
  const search = new Search(problem.value, 'objective', 0, 0);
  let first = NaN;
  while (search.step()) {
    if (Number.isNaN(first) && search.incumbent) first = performance.now() - start;
  }
  const proven = performance.now() - start;
  if (Number.isNaN(first) && search.incumbent) first = proven;
  return { stated, first, proven, parts: search.nodes, search };
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
    briefs.slice(0, 5).forEach(measured);
    const runs = briefs.map(measured).filter((m) => m.search.incumbent);
    console.log(kind);
    summary(
      'stated',
      runs.map((m) => m.stated),
      'ms',
    );
    summary(
      'first blend',
      runs.map((m) => m.first),
      'ms',
    );
    summary(
      'proven',
      runs.map((m) => m.proven),
      'ms',
    );
    summary(
      'parts',
      runs.map((m) => m.parts),
      '',
    );

    const ratios: number[] = [];
    for (let i = 0; ratios.length < PAIRS && i < BRIEFS; i += 5) {
      const { stated, proven, search } = measured(briefs[i]!);
      if (!search.incumbent) continue;
      const reading = readingOf(briefs[i]!);
      const { problem, incumbent } = search;
      const start = performance.now();
      bestAt(reading, loadOf(problem, incumbent!.doses) * problem.beerL, {
        gap: 1e-3,
        seconds: SECONDS_FOR_PROGRAM,
      });
      ratios.push((performance.now() - start) / (proven - stated));
    }
    summary('times faster than the program at one load', ratios, '');

    bench('one brief of the size of a large hop table', () => void measured(briefs[1]!), {
      iterations: 10,
    });
  },
);
