// What moves while a finger drags, measured: the blend of free doses over a simulated drag of every axis
// there and back, 200 moves each; and the time from the message that stops an exact search to its
// answer, in slices as the worker runs it. Printed: 50, 95 and 99 % points, the largest stop, and, with
// the collector exposed (node --expose-gc), the heap after every 1,000 of 10,000 solves.
import { bench, describe } from 'vitest';
import { readFileSync } from 'node:fs';
import { quantileSorted } from 'simple-statistics';
import { AXES, type AxisId } from '#shared/ids.ts';
import type { Brief, Target } from '#shared/schemas/brief.ts';
import { stockIn } from '#shared/lists/stock.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { stockCandidates } from '#engine/lot/lot-storage.ts';
import { model } from '#engine/tables/model.ts';
import { answering } from '#optimize/questions/answering.ts';
import { design } from '#optimize/questions/design.ts';
import { finished } from '#optimize/pacing/clock.ts';
import { NewestLiveBrief } from '#optimize/live/live.ts';
import type { Reply } from '#optimize/worker/protocol.ts';
import { described } from '#optimize/worker/questions.ts';
import { DesignService } from '#optimize/worker/design-service.ts';
import { randomBrief } from '../optimize/support/instances.ts';

const MOVES = 200;
const STOPS = 60;
const SOLVES = 10_000;

const demo = SEED_BRIEFS[0]!.brief;

function stock(): Brief['candidates'] {
  const text = readFileSync(new URL('../../seeds/stock.csv', import.meta.url), 'utf8');
  const stock = stockIn(text);
  if (!stock.ok) throw new Error(JSON.stringify(stock.problems));
  return stockCandidates(
    model,
    stock.value.lots.map(({ lot }) => lot),
    '2026-01-01',
  );
}

const BRIEFS: Readonly<Record<string, Brief>> = {
  'the demo brief': demo,
  'the demo brief on the stock': { ...demo, candidates: stock() },
  '120 hops in two forms': randomBrief(1000, {
    hops: 120,
    forms: 2,
    stages: ['mash', 'hot_steep', 'dry_hop'],
    wishes: 5,
    beerL: 40,
    hopsAtMost: 5,
    smallest: 10,
    step: 1,
    ibu: true,
  }),
};

function moved(target: Target, axis: AxisId, value: number): Target {
  const wish = target[axis];
  if (wish?.aim !== undefined) return { ...target, [axis]: { ...wish, aim: value } };
  if (wish?.at_most !== undefined) return { ...target, [axis]: { at_most: value } };
  return { ...target, [axis]: { at_least: value } };
}

function hopsOf(brief: Brief): string[] {
  const answer = design(model, brief, { timeLimitMs: 5000 });
  return answer.ok ? [...new Set(answer.value.blends[0]!.additions.map((a) => a.hop))] : [];
}

/** Asks for the wishes of every move; times in ms. */
function dragged(brief: Brief): number[] {
  const liveBrief = new NewestLiveBrief(model);
  const hops = hopsOf(brief);
  finished(liveBrief.blendFor(brief, hops));
  return AXES.flatMap((axis) =>
    Array.from({ length: MOVES }, (_, i) => {
      const value = Math.round(Math.abs(1 - (2 * i) / MOVES) * 60) / 10;
      // As a thread gets it: a copy.
      const asked = structuredClone({ ...brief, target: moved(brief.target, axis, value) });
      const start = performance.now();
      finished(liveBrief.blendFor(asked, hops));
      return performance.now() - start;
    }),
  );
}

function summary(name: string, values: readonly number[]): void {
  const sorted = [...values].sort((a, b) => a - b);
  const [p50, p95, p99] = [0.5, 0.95, 0.99].map((p) => quantileSorted(sorted, p).toFixed(2));
  console.log(`${name}: 50 % ${p50} ms, 95 % ${p95} ms, 99 % ${p99} ms (${sorted.length})`);
}

/** From the message that stops a search, sent at some point of it, to the answer, ms. */
async function stopped(brief: Brief, afterMs: number): Promise<number> {
  const turn = () => new Promise<void>((resolve) => setImmediate(resolve));
  let closed: ((reply: Reply) => void) | null = null;
  const answer = new Promise<Reply>((resolve) => (closed = resolve));
  const service = new DesignService({
    open: (b, options) => answering(model, b, options),
    live: (b) => new NewestLiveBrief(model).blendFor(b, []),
    describe: (a) => described(model, a),
    reply: (r) => r.kind !== 'progress' && closed!(r),
    rest: turn,
    pause: turn,
    now: () => performance.now(),
  });
  service.design({ kind: 'design', id: 1, brief, options: {} });
  const begun = performance.now();
  while (performance.now() - begun < afterMs) await turn();
  const sent = performance.now();
  service.stop(1);
  await answer;
  return performance.now() - sent;
}

describe('a drag', async () => {
  for (const [name, brief] of Object.entries(BRIEFS)) {
    dragged(brief);
    summary(`a move on ${name}`, dragged(brief));
  }
  const hard: Brief = { ...SEED_BRIEFS[3]!.brief, candidates: 'table' };
  const stops: number[] = [];
  for (let i = 0; i < STOPS; i += 1) stops.push(await stopped(hard, 20 + 10 * i));
  summary('a stop of an exact search', stops);
  console.log(`the longest stop: ${Math.max(...stops).toFixed(1)} ms`);

  const { gc } = globalThis as { gc?: () => void };
  if (gc) {
    const liveBrief = new NewestLiveBrief(model);
    for (let i = 0; i < SOLVES; i += 1) {
      const axis = AXES[i % AXES.length]!;
      finished(
        liveBrief.blendFor({ ...demo, target: moved(demo.target, axis, (i % 61) / 10) }, []),
      );
      if ((i + 1) % 1000 > 0) continue;
      gc();
      const { heapUsed, arrayBuffers } = process.memoryUsage();
      const mb = (bytes: number) => (bytes / 1e6).toFixed(1);
      console.log(`after ${i + 1} solves: heap ${mb(heapUsed)} MB, arrays ${mb(arrayBuffers)} MB`);
    }
  }

  const liveBrief = new NewestLiveBrief(model);
  let move = 0;
  bench('a move on the demo brief', () => {
    move += 1;
    finished(
      liveBrief.blendFor({ ...demo, target: moved(demo.target, 'citrus', (move % 50) / 10) }, []),
    );
  });
});
