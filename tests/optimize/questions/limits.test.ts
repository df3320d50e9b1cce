// Every question keeps the time it is given and ends where it is stopped, with what is found by then.
// The clock counts how often it is looked at, so that nothing hangs on how quick the machine is.
import { describe, expect, it } from 'vitest';
import outOfStock from '#seeds/schedules/out-of-stock.json' with { type: 'json' };
import { saveSchema, swapSchema } from '#shared/schemas/asked.ts';
import type { Outcome } from '#shared/outcome.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { tastingsSchema } from '#shared/schemas/tastings.ts';
import { model } from '#engine/tables/model.ts';
import { reaching } from '#optimize/live/attainable-range.ts';
import { Clock, type Run, type Timing } from '#optimize/pacing/clock.ts';
import { answering } from '#optimize/questions/answering.ts';
import { design } from '#optimize/questions/design.ts';
import { loosening } from '#optimize/questions/loosening.ts';
import { replanning } from '#optimize/questions/replanning.ts';
import { saving } from '#optimize/questions/savings.ts';
import { swapping } from '#optimize/questions/swap.ts';
import { tradingOff } from '#optimize/questions/tradeoff.ts';
import { explaining, explainingWithout } from '#optimize/sensitivity/explain.ts';
import { opened } from '#optimize/worker/questions.ts';
import { lotsInPackages, lotsOfOneHop, sharesOfWidthZero } from '../support/large-lists.ts';
import { randomBrief } from '../support/instances.ts';

function valueOf<T>(outcome: Outcome<T>): T {
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return outcome.value;
}

const BAND = { samples: 20, seed: 1 };
const band = { band: BAND };
const LIMIT = 100;
/** Looks at the clock on the way out. */
const ROOM = 0.1 * LIMIT + 5;

const brief: Brief = randomBrief(1024, {
  hops: 30,
  forms: 1,
  stages: ['hot_steep', 'dry_hop'],
  wishes: 6,
  beerL: 40,
  hopsAtMost: 4,
  smallest: 10,
  step: 1,
  ibu: true,
});
const oneHop = lotsOfOneHop(40);
const blend = valueOf(design(model, brief, band)).blends[0]!;
const other = 'Invented 30';
const swap = swapSchema.parse({ ...outOfStock, candidates: oneHop.candidates });
const { replace: _, ...schedule } = outOfStock;
const save = saveSchema.parse({
  ...schedule,
  additions: schedule.additions.map((a) => ({ ...a, price_per_kg: 45 })),
  candidates: oneHop.candidates,
});

type Asked = (timing: Timing) => Run<unknown, { readonly ok: boolean }>;
const QUESTIONS: Readonly<Record<string, Asked>> = {
  'a design': (timing) => answering(model, brief, { ...timing, ...band }),
  'a design with its reasons': (timing) =>
    answering(model, brief, { ...timing, ...band, explain: { whyNot: [other] } }),
  'reasons of a blend': (timing) => explaining(model, brief, blend, true, timing),
  'why a hop is not in it': (timing) => explainingWithout(model, brief, blend, other, timing),
  'other blends': (timing) => answering(model, brief, { ...timing, ...band, alternatives: 3 }),
  'the curve of closeness': (timing) =>
    tradingOff(model, brief, 'closeness', { ...timing, ...band }),
  'the curve of cost': (timing) => tradingOff(model, brief, 'cost', { ...timing, ...band }),
  'the curve of chance': (timing) => tradingOff(model, brief, 'chance', { ...timing, ...band }),
  'a blend that holds': (timing) =>
    answering(model, brief, { ...timing, ...band, holdInShare: 0.7 }),
  'a replacement': (timing) => swapping(model, swap, { ...timing, ...band }),
  'what can be saved': (timing) => saving(model, save, { ...timing, ...band }),
  'a blend around what is kept': (timing) =>
    replanning(model, { ...brief, keep: [blend.additions[0]!] }, 2, { ...timing, ...band }),
  'how far each axis goes': (timing) => reaching(model, brief, timing),
};

/** Looks at the clock until a question ends; a stop is sent once, after so many. */
function looks(asked: Asked, stopAfter = Infinity): { readonly all: number; readonly ok: boolean } {
  let at = 0;
  let stopped = false;
  const search = asked({ timeLimitMs: stopAfter < Infinity ? 1e9 : LIMIT, now: () => (at += 1) });
  for (let step = search.next(); ;) {
    if (step.done) return { all: at, ok: step.value.ok };
    const stop: boolean = !stopped && at >= stopAfter;
    stopped ||= stop;
    step = search.next(stop ? 'stop' : undefined);
  }
}

describe('a question', () => {
  it.each(Object.entries(QUESTIONS))('keeps its time limit: %s', (_name, asked) => {
    expect(looks(asked).all).toBeLessThanOrEqual(LIMIT + ROOM);
  });

  it.each(Object.entries(QUESTIONS))('ends where it is stopped once: %s', (_name, asked) => {
    const { all } = looks(asked, 40);
    expect(all).toBeLessThanOrEqual(40 + ROOM);
  });
});

it('tells what it tried of a replacement wherever its time ends', () => {
  const { candidates } = sharesOfWidthZero(20);
  const few = swapSchema.parse({ ...outOfStock, candidates });
  let answers = 0;
  for (let limit = 1; limit < 120; limit += 1) {
    let at = 0;
    const search = swapping(model, few, { timeLimitMs: limit, now: () => (at += 1), ...band });
    let step = search.next();
    while (!step.done) step = search.next();
    if (!step.value.ok) continue;
    answers += 1;
    // Of a hop that time ended before nothing is told.
    for (const { at_most } of step.value.value.tried) expect(at_most).toBeLessThan(Infinity);
  }
  expect(answers).toBeGreaterThan(60);
});

it('works out one replacement in full once it is stopped, and says how many it does not tell', () => {
  let time = 0;
  const timing = { timeLimitMs: Infinity, now: () => (time += 100) };
  const hops = ['Cascade', 'Mosaic', 'Simcoe', 'Centennial', 'Amarillo'];
  const candidates = hops.map((hop) => ({ hop, form: 'pellet_90' as const }));
  const few = swapSchema.parse({ ...outOfStock, candidates });
  const search = swapping(model, few, { ...timing, ...band });
  let step = search.next();
  // Told between two replacements that are dosed; none is predicted by then.
  while (!step.done && !(step.value.phase === 'dosing' && step.value.done >= 3)) {
    step = search.next();
  }
  expect(step.done).toBe(false);
  step = search.next('stop');
  while (!step.done) step = search.next();
  const { blends, why } = valueOf(step.value);
  expect(blends).toHaveLength(1);
  expect(why.notes.join()).toMatch(/Stopped before \d more replacements/);
});

it('stops looking for a replacement as soon, however many were tried by then', () => {
  const { candidates } = lotsInPackages(60, 100, 101, true);
  const many = swapSchema.parse({ ...outOfStock, candidates });
  const asked: Asked = (timing) => swapping(model, many, { ...timing, ...band });
  for (const after of [300, 800, 2000]) {
    expect(looks(asked, after).all).toBeLessThanOrEqual(after + 2 * ROOM);
  }
});

it('is heard before each try of what a goal is missed by, however short', () => {
  const clock = new Clock(1e9, () => 0);
  const context = { clock, until: 1e9, progress: () => 'try', beerPricePerL: 0 };
  const rests = [...loosening(model, brief, 0, context)];
  const wishes = Object.keys(brief.target).length;
  expect(rests.length).toBeGreaterThan(wishes);
});

it('keeps the cheapest blend where it is stopped while the lightest is sought', () => {
  const search = saving(model, save, band);
  let step = search.next();
  while (!step.done && step.value.minimise === 'cost') step = search.next();
  step = search.next('stop');
  while (!step.done) step = search.next();
  const { blends, why } = valueOf(step.value);
  expect(blends[0]!.minimised).toBe('cost');
  if (blends.length === 1) expect(why.notes.join()).toContain('before the lightest');
});

it('hears a stop while it learns from tastings', () => {
  const brewed = { batch: brief.batch, stages: brief.stages, additions: blend.additions };
  const tastings = [{ taster: 'A', tasted_on: '2026-01-01', scores: { citrus: 4, floral: 2 } }];
  const batches = [1, 2, 3, 4].map((n) => ({ id: `b${n}`, brewed, tastings }));
  const question = {
    brews: tastingsSchema.parse({ batches }).batches,
    version: 1,
    made: '2026-01-01T00:00:00Z',
  };
  const search = opened(model, { kind: 'ask', id: 1, topic: 'learn', question });
  expect(search.next().done).toBe(false);
  const step = search.next('stop');
  expect(step.done && !step.value.ok).toBe(true);
});

it('hears a stop while it works out what moves a blend most', () => {
  const ask = { kind: 'ask', id: 1, topic: 'doubt', question: { brief, blend } } as const;
  const search = opened(model, ask);
  expect(search.next().done).toBe(false);
  const step = search.next('stop');
  expect(step.done && !step.value.ok).toBe(true);
});

it('proves nothing best of those that hold in most lots where it is stopped before they are sought', () => {
  const share = 0.9;
  const limits = { ...brief.limits, holds_in_lots_at_least: share };
  let unsought = 0;
  for (let after = 0; ; after += 1) {
    let looks = 0;
    const search = answering(model, { ...brief, limits }, { ...band, now: () => (looks += 1) });
    let step = search.next();
    for (let i = 0; i < after && !step.done; i += 1) step = search.next();
    if (!step.done) step = search.next('stop');
    while (!step.done) step = search.next();
    // Stopped while the lots were still read.
    if (!step.value.ok) continue;
    const { status, blends, why } = step.value.value;
    if (!why.notes.join().includes('not searched for: stopped')) break;
    unsought += 1;
    expect([after, status, blends[0]!.holds_in_lots < share]).not.toEqual([after, 'optimal', true]);
  }
  expect(unsought).toBeGreaterThan(0);
});
