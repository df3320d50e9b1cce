// Whether many solves leave anything behind: 10,000 designs of small to middle size, exact and by free
// doses, the heap looked at after a collection every 2,000. Printed: MB, flat but for what the garbage
// collector itself keeps.
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { bench, describe } from 'vitest';
import { model } from '#engine/tables/model.ts';
import { Clock, finished, run } from '#optimize/pacing/clock.ts';
import { Search } from '#optimize/search/search.ts';
import { problemOf } from '#optimize/problem/stating.ts';
import { randomBrief } from '../optimize/support/instances.ts';

const SOLVES = 10_000;
const EVERY = 2_000;
/** A solve that is not proven by then is given up, as on the page. */
const LIMIT_MS = 200;

setFlagsFromString('--expose_gc');
const collect = runInNewContext('gc') as () => void;

function megabytes(): string {
  collect();
  collect();
  const { heapUsed, arrayBuffers } = process.memoryUsage();
  const [heap, arrays] = [heapUsed, arrayBuffers].map((bytes) => (bytes / 1e6).toFixed(1));
  return `heap ${heap} MB, arrays ${arrays} MB`;
}

/** Designs one brief of the rising sizes, searched to its proof or the limit. */
function solve(i: number): void {
  const exact = i % 4 > 0;
  const brief = randomBrief(i, {
    hops: 6 + (i % 5) * 6,
    forms: 1 + (i % 2),
    stages: ['hot_steep', 'dry_hop'],
    wishes: 2 + (i % 4),
    beerL: 20,
    ...(exact ? { hopsAtMost: 4, smallest: 5, step: 1 } : {}),
    ibu: i % 3 === 0,
  });
  const stated = problemOf(model, brief);
  if (!stated.ok) throw new Error(JSON.stringify(stated.problems));
  const clock = new Clock(LIMIT_MS);
  const search = new Search(stated.value, 'objective', 0, 0);
  finished(run(clock, search, clock.deadline, () => null));
}

describe('memory', () => {
  for (let i = 0; i < 200; i += 1) solve(i);
  console.log(`at the start: ${megabytes()}`);
  for (let i = 0; i < SOLVES; i += 1) {
    solve(i);
    if ((i + 1) % EVERY === 0) console.log(`after ${i + 1} solves: ${megabytes()}`);
  }
  bench('a solve', () => solve(7), { iterations: 20 });
});
