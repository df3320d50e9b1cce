// Nothing that was answered is searched for anew, and nothing else is taken for answered: every part of a
// question counts, a search that was stopped or ran out of time does not.
import { beforeEach, describe, expect, it } from 'vitest';
import { briefSchema, type Brief } from '#shared/schemas/brief.ts';
import { NO_KNOWLEDGE } from '#shared/schemas/knowledge.ts';
import type { Learned } from '#shared/schemas/learned.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';
import type { AttainableRanges } from '#optimize/live/attainable-range.ts';
import type { Designed } from '#optimize/worker/protocol.ts';
import {
  KnowingAsker,
  KnowingSearcher,
  KnownAnswers,
  type AnswerStore,
} from '#state/workbench/known-answers.ts';

const brief: Brief = briefSchema.parse(SEED_BRIEFS[0]!.brief);
const answer = (status: Designed['answer']['status'], gap = 0) =>
  ({ answer: { status, gap, blends: [] }, evidence: [] }) as unknown as Designed;
const reach = { tropical: { least: 0, most: 3, unhopped: 0 } } as unknown as AttainableRanges;
const learned = { version: 1, from: ['a'] } as unknown as Learned;

let kept: Map<string, unknown>;
let store: AnswerStore;
let known: KnownAnswers;
let calls: string[];
let heard: Designed[];
let searcher: KnowingSearcher;

function begin(): void {
  known = new KnownAnswers(() => store);
  calls = [];
  heard = [];
  const call = (name: string) => () => calls.push(name);
  const inner = Object.fromEntries(
    ['design', 'live', 'ready', 'teach', 'stop', 'forget'].map((name) => [name, call(name)]),
  ) as unknown as ConstructorParameters<typeof KnowingSearcher>[1];
  searcher = new KnowingSearcher(known, inner, (designed) => heard.push(designed));
}

beforeEach(() => {
  kept = new Map();
  store = {
    find: (question) => (kept.has(question) ? Promise.resolve(kept.get(question)) : null),
    keep: (question, found) => kept.set(question, found),
  };
  begin();
});
const turn = () => new Promise<void>((resolve) => setImmediate(resolve));

describe('a design', () => {
  it('that was answered is answered at once, under any name', () => {
    const proven = answer('optimal');
    searcher.design(brief);
    searcher.heard(proven);
    searcher.design({ ...brief, name: 'Another' });
    expect(heard).toEqual([proven]);
    expect(calls).toEqual(['design', 'forget']);
  });

  it.each<[string, (asked: Brief) => Brief]>([
    ['a wish', (b) => ({ ...b, target: { ...b.target, floral: { aim: 2, within: 0.3 } } })],
    ['what is minimised', (b) => ({ ...b, minimise: b.minimise === 'cost' ? 'weight' : 'cost' })],
    ['the batch', (b) => ({ ...b, batch: { ...b.batch, beer_l: b.batch.beer_l + 1 } })],
    ['a hop out of stock', (b) => ({ ...b, limits: { ...b.limits, ban: ['Citra'] } })],
  ])('is searched for anew when %s changed', (_, change) => {
    searcher.design(brief);
    searcher.heard(answer('optimal'));
    searcher.design(change(brief));
    expect([calls, heard]).toEqual([['design', 'design'], []]);
  });

  it('is searched for anew with own tables, and known again with the same ones', () => {
    const own = (price: string) => ({
      prices: [{ hop: 'Citra', form: 'cone', price_per_kg: price }],
    });
    for (const price of ['30', '40', '30']) {
      searcher.teach({ own: own(price), learned: null });
      searcher.design(brief);
      searcher.heard(answer('optimal'));
    }
    expect(calls.filter((call) => call === 'design')).toHaveLength(2);
  });

  it('is searched for anew when something was learned, and known again when that is taken back', () => {
    searcher.design(brief);
    searcher.heard(answer('optimal'));
    searcher.teach({ own: null, learned });
    searcher.design(brief);
    expect(heard).toEqual([]);
    searcher.teach(NO_KNOWLEDGE);
    searcher.design(brief);
    expect(heard).toHaveLength(1);
  });

  it.each([
    ['stopped by a person', answer('optimal'), true],
    ['ended by the clock', answer('within_gap', 0.04), false],
    ['closest, and not proven so', answer('closest', 0.2), false],
  ])('is searched for anew where the search was %s', (_, found, isStopped) => {
    searcher.design(brief);
    if (isStopped) searcher.stop();
    searcher.heard(found);
    searcher.design(brief);
    expect(heard).toEqual([]);
    expect(calls.filter((call) => call === 'design')).toHaveLength(2);
    expect(kept.size).toBe(0);
  });

  it('is known on the next visit', async () => {
    searcher.design(brief);
    searcher.heard(answer('optimal'));
    begin();
    searcher.design(brief);
    await turn();
    expect([calls, heard.length]).toEqual([['forget'], 1]);
  });

  it('is searched for where what was kept cannot be had; a stop meanwhile is not lost', async () => {
    store = { find: () => Promise.resolve(null), keep: () => undefined };
    searcher.design(brief);
    expect(calls).toEqual(['forget']);
    searcher.stop();
    await turn();
    expect(calls).toEqual(['forget', 'design', 'stop']);
  });

  it('that was overtaken while it was looked for is not heard', async () => {
    searcher.design(brief);
    searcher.heard(answer('optimal'));
    begin();
    searcher.design(brief);
    searcher.live(brief, []);
    await turn();
    expect([calls, heard]).toEqual([['forget', 'live'], []]);
  });

  it('leaves memory when many came after it, and the store keeps it', () => {
    const of = (beer_l: number) => ({ ...brief, batch: { ...brief.batch, beer_l } });
    for (let litres = 1; litres <= 60; litres += 1) {
      searcher.design(of(litres));
      searcher.heard(answer('optimal'));
    }
    searcher.design(of(60));
    expect(heard).toHaveLength(1);
    searcher.design(of(1));
    expect([heard.length, kept.size]).toEqual([1, 60]);
  });
});

describe('the reach of the axes', () => {
  it('is known with the answer that came with the page, and for other wishes', () => {
    known.noteBuilt({ brief, designed: answer('optimal'), reach });
    searcher.design(brief);
    expect([calls, heard.length, kept.size]).toEqual([['forget'], 1, 0]);
    const asked: string[] = [];
    const inner = {
      ask: (topic: string) => asked.push(topic),
      stop: () => undefined,
      forget: () => undefined,
      teach: () => undefined,
    };
    const asker = new KnowingAsker(known, inner);
    const found: AttainableRanges[] = [];
    const listener = {
      step: () => undefined,
      found: (ranges: AttainableRanges) => found.push(ranges),
      refused: () => undefined,
      failed: () => undefined,
    };
    asker.ask('reach', { ...brief, target: {} }, listener);
    expect([found, asked]).toEqual([[reach], []]);
    asker.ask('reach', { ...brief, limits: { ...brief.limits, ban: ['Citra'] } }, listener);
    expect(asked).toEqual(['reach']);
  });
});
