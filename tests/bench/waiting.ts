// Questions of long and awkward lists, asked as the page's worker and the command line ask them: for the
// benchmark of what a search makes a person wait.
import { readFileSync } from 'node:fs';
import outOfStock from '#seeds/schedules/out-of-stock.json' with { type: 'json' };
import { failure, type Outcome } from '#shared/outcome.ts';
import { saveSchema, swapSchema } from '#shared/schemas/asked.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import { tastingsSchema } from '#shared/schemas/tastings.ts';
import { model } from '#engine/tables/model.ts';
import { LiveBrief } from '#optimize/live/live.ts';
import { reaching } from '#optimize/live/attainable-range.ts';
import {
  Clock,
  listening,
  pause,
  STOPPED,
  type Resting,
  type Run,
} from '#optimize/pacing/clock.ts';
import { answering } from '#optimize/questions/answering.ts';
import { design } from '#optimize/questions/design.ts';
import { replanning } from '#optimize/questions/replanning.ts';
import { saving } from '#optimize/questions/savings.ts';
import { swapping } from '#optimize/questions/swap.ts';
import { tradingOff } from '#optimize/questions/tradeoff.ts';
import { explaining, explainingWithout } from '#optimize/sensitivity/explain.ts';
import { described, opened } from '#optimize/worker/questions.ts';
import type { Ask, Question, Topic } from '#optimize/worker/protocol.ts';
import {
  lotsAlike,
  lotsInPackages,
  lotsOfOneHop,
  sharesOfWidthZero,
  tableInPackages,
  windowsOfWidthZero,
} from '../optimize/support/large-lists.ts';

/** Time limit each question is asked with, ms. */
export const LIMIT_MS = 1000;

export const LISTS: Readonly<Record<string, () => Brief>> = {
  '500 lots in packages': () => lotsInPackages(500),
  '500 lots in packages, tight wishes': () => lotsInPackages(500, 100, 101, true),
  '2000 lots in packages, tight wishes': () => lotsInPackages(2000, 100, 101, true),
  '5000 lots in packages, tight wishes': () => lotsInPackages(5000, 100, 101, true),
  '2000 lots of one hop': () => lotsOfOneHop(2000),
  '5000 lots of one hop': () => lotsOfOneHop(5000),
  '5000 lots all but alike': () => lotsAlike(5000),
  'the table in packages of 25 g': () => tableInPackages(25),
  'the table in packages of 100 g': () => tableInPackages(100),
  'shares of width 0': () => sharesOfWidthZero(120),
  'windows of width 0': () => windowsOfWidthZero(120),
};

/** How often the kernel is asked what a thread has used: it counts in steps of a few ms, and the answer takes a while. */
const ASKED_EVERY_MS = 1;
let kernel = { asked: -Infinity, read: 0 };

/** Time the processor spent on this thread so far, ms; from Linux alone. */
function ofThread(): number {
  const now = performance.now();
  if (now - kernel.asked > ASKED_EVERY_MS) {
    const [used] = readFileSync('/proc/thread-self/schedstat', 'latin1').split(' ');
    kernel = { asked: now, read: Number(used) / 1e6 };
  }
  return kernel.read;
}

/**
 * Processor time of the process so far, ms. By `CLOCK=thread` that of this thread alone, so that neither other
 * programs nor the compiler's threads count; by `CLOCK=wall` the time on the wall, which is what a person waits on a
 * machine that does nothing else.
 */
export function spent(): number {
  if (process.env.CLOCK === 'wall') return performance.now();
  if (process.env.CLOCK === 'thread') return ofThread();
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
}

/** Whether a name has one of the parts that are asked for. */
export function isWanted(name: string, parts = ''): boolean {
  return parts.split('|').some((part) => name.includes(part));
}
export type AnyRun = Run<unknown, Outcome<unknown>>;

export interface Driven {
  /** From the question, and from the stop if one was sent, to the closing reply, ms. */
  readonly all: number;
  readonly stopped: number | null;
  /** Longest time between two pauses, ms, and when it began. */
  readonly held: number;
  readonly at: number;
  readonly outcome: Outcome<unknown>;
}

/** Runs a question to its end; a stop is sent at the first pause after `stopMs`. */
export function driven(search: AnyRun, stopMs = Infinity): Driven {
  const start = spent();
  let [last, held, at, stopped] = [start, 0, 0, false];
  for (;;) {
    const step = search.next(stopped ? 'stop' : undefined);
    const now = spent();
    if (now - last > held) [held, at] = [now - last, last - start];
    last = now;
    if (step.done) {
      const all = now - start;
      return { all, stopped: stopped ? all - stopMs : null, held, at, outcome: step.value };
    }
    stopped = now - start > stopMs;
  }
}

/** A list with what the questions about it need: a blend for it, and a schedule it may change. */
export interface Asked {
  readonly brief: Brief;
  readonly additions: readonly Addition[];
  readonly blend: Question<'explain'>['blend'];
  /** A hop that is not in the blend. */
  readonly other: string;
}

export function asked(brief: Brief): Asked {
  const found = design(model, brief, { timeLimitMs: 3000, now: spent });
  if (!found.ok) throw new Error(found.problems[0]!.message);
  const blend = found.value.blends[0]!;
  const { candidates } = brief;
  const names =
    candidates === 'table' ? model.hops.map((h) => h.name) : candidates.map((c) => c.hop);
  const other = names.find((hop) => !blend.additions.some((a) => a.hop === hop)) ?? names[0]!;
  return { brief, additions: blend.additions, blend, other };
}

const started = (topic: Topic, question: unknown) =>
  opened(model, { kind: 'ask', id: 1, topic, question } as Ask);
export const swapOf = ({ candidates }: Brief) => swapSchema.parse({ ...outOfStock, candidates });
export const saveOf = ({ candidates }: Brief) => {
  const { replace: _, ...schedule } = outOfStock;
  const additions = schedule.additions.map((a) => ({ ...a, price_per_kg: 45 }));
  return saveSchema.parse({ ...schedule, additions, candidates, save_at_least: 0.3 });
};
const timed = { timeLimitMs: LIMIT_MS, now: spent };

/** How a question is asked with a limit, and how the worker asks it; a limit of its own has none. */
export interface Way {
  readonly limited?: (of: Asked) => AnyRun;
  readonly asked: (of: Asked) => AnyRun;
}

export const QUESTIONS: Readonly<Record<string, Way>> = {
  design: {
    limited: ({ brief }) => answering(model, brief, timed),
    asked: ({ brief }) => designed(brief),
  },
  'design with reasons': {
    limited: ({ brief, other }) =>
      answering(model, brief, { ...timed, explain: { whyNot: [other] } }),
    asked: ({ brief, other }) => answering(model, brief, { explain: { whyNot: [other] } }),
  },
  explain: {
    limited: ({ brief, blend }) => explaining(model, brief, blend, true, timed),
    asked: ({ brief, blend }) => started('explain', { brief, blend, designed: true }),
  },
  'why not': {
    limited: ({ brief, blend, other }) => explainingWithout(model, brief, blend, other, timed),
    asked: ({ brief, blend, other }) => started('why_not', { brief, blend, hop: other }),
  },
  doubt: { asked: ({ brief, blend }) => started('doubt', { brief, blend }) },
  alternatives: {
    limited: ({ brief }) => answering(model, brief, { ...timed, alternatives: 5 }),
    asked: ({ brief }) => started('alternatives', brief),
  },
  hold: {
    limited: ({ brief }) => answering(model, brief, { ...timed, holdInShare: 0.7 }),
    asked: ({ brief }) => started('hold', { brief, share: 0.7 }),
  },
  closest: {
    limited: ({ brief }) => answering(model, { ...brief, minimise: 'closest' }, timed),
    asked: ({ brief }) => designed({ ...brief, minimise: 'closest' }),
  },
  'curve of closeness': {
    limited: ({ brief }) => tradingOff(model, brief, 'closeness', timed),
    asked: ({ brief }) => started('tradeoff', { brief, against: 'closeness' }),
  },
  'curve of cost': {
    limited: ({ brief }) => tradingOff(model, brief, 'cost', timed),
    asked: ({ brief }) => started('tradeoff', { brief, against: 'cost' }),
  },
  'curve of chance': {
    limited: ({ brief }) => tradingOff(model, brief, 'chance', timed),
    asked: ({ brief }) => started('chances', brief),
  },
  swap: {
    limited: ({ brief }) => swapping(model, swapOf(brief), timed),
    asked: ({ brief }) => started('swap', swapOf(brief)),
  },
  save: {
    limited: ({ brief }) => saving(model, saveOf(brief), timed),
    asked: ({ brief }) => started('save', saveOf(brief)),
  },
  'attainable ranges': {
    limited: ({ brief }) => reaching(model, brief, timed),
    asked: ({ brief }) => started('reach', brief),
  },
  live: { asked: ({ brief, blend }) => dragged(brief, blend) },
  along: {
    asked: ({ brief, additions }) => {
      const doses = Array.from({ length: 41 }, (_, i) => 5 + i);
      return started('along', { brief, additions, at: 0, doses });
    },
  },
  learn: {
    asked: ({ brief: { batch, stages }, additions }) => {
      const tastings = ['A', 'B'].map((taster) => ({ taster, scores: { citrus: 4, floral: 2 } }));
      const batches = Array.from({ length: 12 }, (_, i) => ({
        id: `b${i}`,
        brewed: { batch, stages, additions },
        tastings,
      }));
      const brews = tastingsSchema.parse({ batches }).batches;
      return started('learn', { brews, version: 1, made: '2026-01-01T00:00:00Z' });
    },
  },
  predict: { asked: ({ brief, additions }) => started('predict', { brief, additions }) },
  replan: {
    limited: ({ brief, additions }) =>
      replanning(model, { ...brief, keep: [additions[0]!] }, 2, timed),
    asked: ({ brief, additions }) =>
      started('replan', { brief: { ...brief, keep: [additions[0]] }, point_worth_g_per_l: 2 }),
  },
  beside: {
    asked: ({ brief, additions }) => {
      const { batch, stages } = brief;
      return started('beside', { brief, additions, usual: { batch, stages, additions } });
    },
  },
  'next batch': {
    asked: ({ brief, additions }) =>
      started('next_batch', { brief: { ...brief, keep: [] }, brewed: additions }),
  },
};

/** One wish of a brief dragged up, step by step. */
function* dragged(brief: Brief, { additions }: Asked['blend']): AnyRun {
  const clock = new Clock(Infinity, spent);
  const heard = <T>(part: Resting<T>) => listening(clock, part, () => null);
  const ready = yield* heard(LiveBrief.of(model, brief));
  if (!ready?.ok) return ready ?? failure(STOPPED);
  const hops = additions.map(({ hop }) => hop);
  const [axis = 'citrus'] = Object.keys(brief.target);
  for (let step = 0; step < 12 && !clock.stopped; step += 1) {
    const target = { ...brief.target, [axis]: { at_least: 1 + 0.15 * step } };
    yield* heard(ready.value.blendFor(target, hops));
    yield* pause(clock, null);
  }
  return ready;
}

/** A design as the worker runs it, with what its blends rest on. */
function* designed(brief: Brief): AnyRun {
  const outcome = yield* answering(model, brief);
  if (outcome.ok) described(model, outcome.value);
  return outcome;
}
