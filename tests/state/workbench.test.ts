// The workbench with a played search: edits, gestures, what is shown while it searches.
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { Blend } from '#shared/answers/answer.ts';
import { briefSchema, type Brief } from '#shared/schemas/brief.ts';
import type { Learned } from '#shared/schemas/learned.ts';
import type { OwnTables } from '#shared/schemas/own-tables.ts';
import type { WorkspaceDocument } from '#shared/schemas/workspace.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';
import type { LiveBlend } from '#optimize/live/live.ts';
import type { QuestionListener } from '#optimize/worker/asking.ts';
import type { Designed, Topic } from '#optimize/worker/protocol.ts';
import {
  savedDesign,
  withSingle,
  withOwnTables,
  withNewDesign,
  workspaceOf,
} from '#state/documents/documents.ts';
import { withHopBack, withoutHop } from '#state/stock/stock.ts';
import { Workbench } from '#state/workbench/workbench.svelte.ts';
import { Workspace } from '#state/workspace/workspace.svelte.ts';

const demo: Brief = briefSchema.parse(SEED_BRIEFS[0]!.brief);
const designed = (worst_miss: number): Designed => ({
  answer: {
    status: 'optimal',
    lower_bound: 0,
    gap: 0,
    milliseconds: 1,
    blends: [{ worst_miss, additions: [] as Blend['additions'] } as Blend],
    why: { left_out: [], notes: [] },
  },
  evidence: [],
});
const wish = (aim: number) => (brief: Brief) => ({
  ...brief,
  target: { ...brief.target, floral: { aim, within: 0.3 } },
});

const live = (worst_miss: number) => ({ worst_miss, misses: [] }) as unknown as LiveBlend;

let asked: Brief[];
let workspace: Workspace;
let dragged: Brief[];
let readied: Brief[];
let taught: (Learned | null)[];
let workbench: Workbench;

beforeEach(() => {
  vi.useFakeTimers();
  asked = [];
  dragged = [];
  readied = [];
  taught = [];
  workspace = new Workspace(workspaceOf([savedDesign(demo)]));
  workbench = new Workbench(workspace, designed(0));
  workbench.useSearcher({
    design: (brief) => asked.push(brief),
    live: (brief) => dragged.push(brief),
    ready: (brief) => readied.push(brief),
    teach: (knowledge) => taught.push(knowledge.learned),
    stop: () => {},
  });
});
afterEach(() => vi.useRealTimers());

describe('another design', () => {
  it('is not answered by the blend of the one before', () => {
    const other = savedDesign(wish(2)(demo));
    workspace.edit('new', (d) => withNewDesign(d, other));
    expect(workbench.foreign).toBe(true);
    workbench.heardAnswer(designed(1));
    expect(workbench.foreign).toBe(false);
    workspace.undo();
    expect(workbench.foreign).toBe(true);
  });

  it('of the same brief is answered by the same blend', () => {
    const copy = savedDesign({ ...demo, name: 'A copy' });
    workspace.edit('duplicate', (d) => withNewDesign(d, copy));
    expect([workbench.foreign, workbench.searching, asked.length]).toEqual([false, false, 0]);
  });
});

describe('what tastings taught', () => {
  const learned: Learned = {
    version: 1,
    made: '2026-01-01T00:00:00Z',
    from: ['a'],
    parameters: {
      'parameter/aroma.gain.citrus': { factor: 1.2, sd_log: 0.2, score: 0.5, joint: [0.4] },
    },
    tasters: {},
  };

  it('goes to the search, which asks again; switched off or taken back it goes as well', () => {
    expect(taught).toEqual([null]);
    workspace.edit('learn', (d) => withSingle(d, 'learning', { in_use: true, learned }));
    expect(taught.slice(1)).toEqual([learned]);
    expect([workbench.searching, asked.length]).toEqual([true, 1]);
    workspace.edit('off', (d) => withSingle(d, 'learning', { in_use: false, learned }));
    expect([taught.at(-1), asked.length]).toEqual([null, 2]);
    workspace.undo();
    expect([taught.at(-1), asked.length]).toEqual([learned, 3]);
    workspace.undo();
    expect([taught.at(-1), workspace.document.learning]).toEqual([null, undefined]);
    workspace.redo();
    expect(workspace.edit('take back', (d) => withSingle(d, 'learning', null))).toBeNull();
    expect([taught.at(-1), workspace.document.learning]).toEqual([null, undefined]);
  });

  it('that the schema refuses changes nothing', () => {
    const bad = { ...learned, version: 0 };
    const refusal = workspace.edit('learn', (d) =>
      withSingle(d, 'learning', { in_use: true, learned: bad }),
    );
    expect(refusal).toMatch(/.+/);
    expect(workspace.learned).toBeNull();
  });
});

describe('tables of one’s own', () => {
  it('make the search ask again, undone as well, and prices of theirs hold', () => {
    const own: OwnTables = {
      prices: [{ hop: 'Citra', form: 'cone', price_per_kg: '40' }],
    };
    expect(workspace.edit('own', (d) => withOwnTables(d, own))).toBeNull();
    expect([asked.length, workspace.knowledge.own]).toEqual([1, own]);
    expect(workspace.prices.get('citra|cone')).toBe(40);
    workspace.editBrief('name', (brief) => ({ ...brief, name: 'another' }));
    expect(taught).toHaveLength(2);
    workspace.undo();
    workspace.undo();
    expect([asked.length, workspace.knowledge.own]).toEqual([2, null]);
    const bad = { prices: [{ hop: 1 }] } as never;
    expect(workspace.edit('own', (d) => withOwnTables(d, bad))).toMatch(/own_tables|prices|text/);
  });
});

describe('a hop that is out of stock', () => {
  const citra = (document: WorkspaceDocument) => withoutHop(document, 'Citra');

  beforeEach(() => {
    workspace = new Workspace(workspaceOf([savedDesign(demo)]));
    workbench = new Workbench(workspace, designed(0), workspace.open, ['Citra', 'Saaz']);
    workbench.useSearcher({
      design: (brief) => asked.push(brief),
      live: (brief) => dragged.push(brief),
      ready: (brief) => readied.push(brief),
      teach: (knowledge) => taught.push(knowledge.learned),
      stop: () => {},
    });
  });

  it('leaves the blend in sight, and is in no search from then on, of whatever design', () => {
    workspace.edit('gone', citra);
    expect([workbench.searching, asked.length]).toEqual([false, 0]);
    workbench.edit('floral 2', wish(2));
    workspace.edit('new', (d) => withNewDesign(d, savedDesign(wish(3)(demo))));
    expect(asked.map((brief) => brief.limits.ban)).toEqual([['Citra'], ['Citra']]);
    expect(workspace.open.brief.limits.ban).toEqual([]);
    workbench.preview(wish(1));
    expect(dragged.at(-1)!.limits.ban).toEqual(['Citra']);
  });

  it('is searched with again once it is back', () => {
    workspace.edit('gone', citra);
    workbench.edit('floral 2', wish(2));
    workspace.edit('back', (document) => withHopBack(document, 'Citra'));
    expect(asked.map((brief) => brief.limits.ban)).toEqual([['Citra'], []]);
  });
});

describe('edits', () => {
  it('become the brief, a step back and a search', () => {
    expect(workbench.edit('floral 2', wish(2))).toBeNull();
    expect(workbench.brief.target.floral).toEqual({ aim: 2, within: 0.3 });
    expect(workspace.undoName).toBe('floral 2');
    expect(asked.at(-1)).toBe(workbench.brief);
    workspace.undo();
    expect(workbench.brief).toEqual(demo);
    expect(asked.at(-1)).toEqual(demo);
    workspace.redo();
    expect(workbench.brief.target.floral).toEqual({ aim: 2, within: 0.3 });
  });

  it('that make no sound brief change nothing and say why', () => {
    const refusal = workbench.edit('bad', (b) => ({
      ...b,
      batch: { ...b.batch, beer_l: -1 },
    }));
    expect(refusal).toMatch(/\.$/);
    expect(workbench.brief).toBe(demo);
    expect(workspace.undoName).toBeNull();
    expect(asked).toEqual([]);
  });
});

describe('a drag', () => {
  it('shows at once, asks for each move, searches when dropped, and is one step', () => {
    for (let i = 1; i <= 20; i += 1) {
      workbench.preview(wish(i / 10));
      expect(workbench.brief.target.floral).toEqual({ aim: i / 10, within: 0.3 });
      vi.advanceTimersByTime(16);
    }
    expect(dragged.map((b) => b.target.floral?.aim)).toEqual(
      Array.from({ length: 20 }, (_, i) => (i + 1) / 10),
    );
    expect(asked).toEqual([]);
    expect(workspace.undoName).toBeNull();
    workbench.edit('floral 2', wish(2));
    expect(asked.at(-1)).toBe(workbench.brief);
    workspace.undo();
    expect(workbench.brief).toEqual(demo);
    expect(workspace.undoName).toBeNull();
  });

  it('shows the blend for it, until the search after it has answered', () => {
    workbench.preview(wish(2));
    expect(workbench.shown?.worst_miss).toBe(0);
    workbench.heardLive(live(3));
    workbench.heardLive(live(4));
    expect([workbench.shown?.worst_miss, workbench.live?.worst_miss]).toEqual([4, 4]);
    expect(workbench.blend?.worst_miss).toBe(0);
    workbench.edit('floral 2', wish(2));
    workbench.heardLive(live(5));
    expect(workbench.shown?.worst_miss).toBe(4);
    workbench.heardAnswer(designed(1));
    expect([workbench.shown?.worst_miss, workbench.live]).toEqual([1, null]);
  });

  it('is got ready for where a hand comes near, and there for each new answer', () => {
    expect(readied).toEqual([]);
    workbench.near(true);
    expect(readied).toEqual([demo]);
    workbench.preview(wish(2));
    workbench.edit('floral 2', wish(2));
    expect(readied).toHaveLength(1);
    workbench.heardAnswer(designed(1));
    expect(readied.slice(1)).toEqual([workbench.brief]);
    workbench.near(false);
    workbench.edit('floral 1', wish(1));
    workbench.heardAnswer(designed(1));
    expect(readied).toHaveLength(2);
  });

  it('gives up a search at work, and its blend is gone after a cancel or another edit', () => {
    workbench.edit('floral 1', wish(1));
    workbench.preview(wish(2));
    expect(workbench.searching).toBe(false);
    workbench.heardLive(live(3));
    workbench.cancelPreview();
    expect([workbench.live, workbench.searching]).toEqual([null, true]);
    workbench.preview(wish(2));
    workbench.heardLive(live(3));
    workbench.edit('floral 2', wish(2));
    workspace.undo();
    expect(workbench.live).toBeNull();
  });

  it('leaves nothing behind when it is cancelled', () => {
    workbench.preview(wish(2));
    workbench.cancelPreview();
    expect(workbench.brief).toEqual(demo);
    vi.advanceTimersByTime(1000);
    expect(asked.at(-1)).toEqual(demo);
  });
});

describe('a search', () => {
  it('keeps the last blend, and what it answered, until there is another', () => {
    workbench.edit('floral 2', wish(2));
    expect(workbench.searching).toBe(true);
    expect(workbench.answeredBrief).toBe(demo);
    workbench.heardAnswer(designed(0.5));
    expect(workbench.searching).toBe(false);
    expect(workbench.blend?.worst_miss).toBe(0.5);
    expect(workbench.answeredBrief).toBe(workbench.brief);
  });

  it('keeps the last blend when the brief is refused or the search breaks', () => {
    workbench.edit('floral 2', wish(2));
    workbench.heardRefusal([{ path: '', message: 'm', cure: 'c' }]);
    expect(workbench.trouble?.kind).toBe('refused');
    expect(workbench.blend?.worst_miss).toBe(0);
    workbench.retry();
    workbench.heardFailure('gone');
    expect(workbench.trouble).toEqual({ kind: 'failed', reason: 'gone' });
    workbench.retry();
    workbench.heardAnswer(designed(1));
    expect(workbench.trouble).toBeNull();
  });
});

describe('a stop', () => {
  const closest = (additions: Blend['additions']): Designed => {
    const { answer } = designed(2);
    const blend = { ...answer.blends[0]!, additions };
    return { answer: { ...answer, status: 'closest', blends: [blend] }, evidence: [] };
  };

  it('takes the best blend so far', () => {
    workbench.edit('floral 2', wish(2));
    workbench.stop();
    const addition = { hop: 'Citra', form: 'cone', stage: 'mash', grams: 5 } as const;
    workbench.heardAnswer(closest([addition]));
    expect(workbench.trouble).toBeNull();
    expect(workbench.blend?.worst_miss).toBe(2);
  });

  it('before any blend was found leaves the last one and says so, until asked again', () => {
    workbench.edit('floral 2', wish(2));
    workbench.stop();
    workbench.heardAnswer(closest([]));
    expect(workbench.trouble).toEqual({ kind: 'stopped' });
    expect(workbench.blend?.worst_miss).toBe(0);
    workbench.retry();
    workbench.heardAnswer(closest([]));
    expect(workbench.trouble).toBeNull();
    expect(workbench.blend?.additions).toEqual([]);
  });
});

describe('a blend made by hand', () => {
  const row = {
    hop: 'Citra',
    form: 'pellet_90',
    stage: 'dry_hop',
    grams: 50,
    locked: true,
  } as const;
  const found = (misses: number) => ({ worst_miss: misses, additions: [], misses: [] });
  let questions: { topic: string; question: unknown; listener: QuestionListener<Topic> }[];

  beforeEach(() => {
    questions = [];
    workbench.inquiries.use({
      ask: (topic, question, listener) =>
        questions.push({ topic, question, listener: listener as QuestionListener<Topic> }),
      stop: () => {},
      forget: () => {},
      teach: () => {},
    });
  });
  const predicted = () => questions.filter((q) => q.topic === 'predict');

  it('is predicted with its locks as kept, and shown whatever the search finds', () => {
    expect(workbench.editOwn('add Citra', () => [row])).toBeNull();
    expect(workbench.byHand).toBe(true);
    const { locked: _, ...addition } = row;
    expect(predicted()[0]!.question).toMatchObject({
      brief: { keep: [addition] },
      additions: [addition],
    });
    predicted()[0]!.listener.step(found(2) as never);
    expect(workbench.shown?.worst_miss).toBe(2);
    predicted()[0]!.listener.found({ ...found(3), evidence: {} } as never);
    expect(workbench.blend?.worst_miss).toBe(3);
    workbench.heardAnswer(designed(9));
    expect(workbench.shown?.worst_miss).toBe(3);
    expect(asked).toEqual([]);
    workbench.back();
    expect(workbench.shown?.worst_miss).toBe(9);
    expect(workspace.undoName).toBe('back to the proven blend');
    workspace.undo();
    expect(workbench.rows).toEqual([row]);
  });

  it('takes the rest from the design around its locks, as one step', () => {
    workbench.editOwn('add Citra', () => [row, { ...row, hop: 'Saaz', locked: false }]);
    workbench.replan();
    const { listener } = questions.find((q) => q.topic === 'replan')!;
    const { locked: _, ...addition } = row;
    const other = { ...addition, hop: 'Cascade', grams: 20 };
    const blends = [{ additions: [other, addition] }];
    listener.found({
      answer: { ...designed(0).answer, blends },
      evidence: [],
      unnoticed: true,
    } as never);
    expect(workbench.rows).toEqual([{ ...other, locked: false }, row]);
    expect(workbench.own.replanned?.changes.map((c) => [c.hop, c.from, c.to])).toEqual([
      ['Saaz', 50, 0],
      ['Cascade', 0, 20],
    ]);
    workspace.undo();
    expect(workbench.rows.map((a) => a.hop)).toEqual(['Citra', 'Saaz']);
    expect(workbench.own.replanned).toBeNull();
  });

  it('gives up a design of the rest that an edit overtakes', () => {
    workbench.editOwn('add Citra', () => [row]);
    workbench.replan();
    expect(workbench.inquiries.replan.working).toBe(true);
    workbench.editOwn('more Citra', () => [{ ...row, grams: 60 }]);
    expect(workbench.inquiries.replan.working).toBe(false);
  });
});
