// The workspace with a played store: steps over briefs and designs alike, keeping, and what another
// tab has saved meanwhile.
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { SEED_BRIEFS } from '#seeds/index.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import {
  BY_EDITS,
  type SavedDesign,
  type SavedLot,
  type WorkspaceDocument,
} from '#shared/schemas/workspace.ts';
import { readWorkspace } from '#shared/reading/read-workspace.ts';
import { replaced } from '#state/documents/arrivals.ts';
import {
  blankBrief,
  designIn,
  freeName,
  openDesign,
  savedDesign,
  titleOf,
  withDesign,
  withLot,
  withNewDesign,
  withoutDesign,
  withoutLot,
  workspaceOf,
  HOLDS_IN_LOTS,
} from '#state/documents/documents.ts';
import type { Kept, Loaded, News } from '#state/documents/keeping.ts';
import { REST_MS } from '#state/documents/pace.ts';
import { heardOf } from '#storage/meeting.ts';
import { Workspace } from '#state/workspace/workspace.svelte.ts';

const [first, second] = SEED_BRIEFS.map(({ brief }) => savedDesign(brief)) as [
  SavedDesign,
  SavedDesign,
];
const floral = (aim: number) => (brief: Brief) => ({
  ...brief,
  target: { ...brief.target, floral: { aim, within: 0.3 } },
});
const renamed = (design: SavedDesign, name: string): SavedDesign => ({
  ...design,
  brief: { ...design.brief, name },
});
const nothing: News = {
  taken: { designs: new Map(), lots: new Map(), batches: new Map() },
  clashes: new Map(),
  shared: new Set(),
  keptTwice: [],
};
const news = (change: Partial<News['taken']>, clashes: News['clashes'] = new Map()): News => ({
  taken: { ...nothing.taken, ...change },
  clashes,
  shared: new Set(),
  keptTwice: [],
});

let workspace: Workspace;
let kept: WorkspaceDocument[];
let answer: Kept;
let heard: News | null;
let left: WorkspaceDocument[];
/** What the store holds; a promise where it lets wait. */
let stored: Loaded | Promise<Loaded>;

const holding = (kept: WorkspaceDocument | null): Loaded => ({
  kind: 'loaded',
  kept,
  unread: [],
  unsaved: false,
});

async function keep(): Promise<void> {
  await workspace.useKeeper({
    load: async () => stored,
    save: async (document) => {
      kept.push(document);
      return answer;
    },
    leave: (document) => left.push(document),
    news: async () => heard,
    heard: heardOf,
    took: () => {},
  });
}

beforeEach(async () => {
  vi.useFakeTimers();
  kept = [];
  left = [];
  heard = null;
  stored = holding(null);
  answer = { kind: 'kept', news: nothing };
  workspace = new Workspace(workspaceOf([first, second]));
  await keep();
});
afterEach(() => vi.useRealTimers());

describe('steps', () => {
  it('lead back over briefs, names and whole designs, in the order they were made', () => {
    workspace.editBrief('floral 2', floral(2));
    workspace.openDesign(second.id);
    workspace.edit('delete', (d) => withoutDesign(d, second.id));
    expect(workspace.document.designs).toHaveLength(1);
    expect(workspace.open.id).toBe(first.id);
    workspace.undo();
    expect(workspace.open.id).toBe(second.id);
    workspace.undo();
    expect(workspace.undoName).toBe('floral 2');
    expect(workspace.open.brief.target.floral).toEqual({ aim: 2, within: 0.3 });
    workspace.undo();
    expect(workspace.document).toEqual(workspaceOf([first, second]));
    expect(workspace.undoName).toBeNull();
    for (let i = 0; i < 3; i += 1) workspace.redo();
    expect(workspace.document.designs).toHaveLength(1);
    expect(workspace.redoName).toBeNull();
  });

  it('of one gesture are one; the same gesture on another design is another', () => {
    workspace.editBrief('floral 1', floral(1), 'keys');
    workspace.editBrief('floral 2', floral(2), 'keys');
    workspace.undo();
    expect(workspace.document).toEqual(workspaceOf([first, second]));
    workspace.editBrief('floral 1', floral(1), 'keys');
    workspace.openDesign(second.id);
    workspace.editBrief('floral 2', floral(2), 'keys');
    workspace.undo();
    workspace.undo();
    expect(workspace.undoName).toBe('floral 1');
  });

  it('that make no sound document change nothing and say why', () => {
    const before = workspace.document;
    expect(workspace.editBrief('bad', (b) => ({ ...b, minimise: 'hops' as 'leaf' }))).toMatch(
      /\.$/,
    );
    const long = 'x'.repeat(201);
    expect(workspace.edit('bad', (d) => withNewDesign(d, renamed(first, long)))).toMatch(/\.$/);
    expect(workspace.document).toBe(before);
    expect(workspace.undoName).toBeNull();
  });

  it('leave a blank design where the last one was deleted', () => {
    workspace.edit('delete', (d) => withoutDesign(withoutDesign(d, first.id), second.id));
    expect(workspace.document.designs).toHaveLength(1);
    expect(workspace.open.brief.target).toEqual({});
    expect(workspace.document.open).toBe(workspace.open.id);
  });
});

describe('how much a workspace holds', () => {
  const lots = (count: number): SavedLot[] =>
    Array.from({ length: count }, (_, i) => ({
      hop: 'Citra',
      form: 'cone',
      id: `lot-${i}`,
      note: '',
      out_of_stock: false,
    }));
  const designs = (count: number): SavedDesign[] =>
    Array.from({ length: count }, (_, i) => ({ ...first, id: `design-${i}` }));
  const more = { designs: BY_EDITS.designs + 1, lots: BY_EDITS.lots + 1 };

  it.each(['lots', 'designs'] as const)('is told with a cure where %s go over it', (field) => {
    const full = { lots: lots(BY_EDITS.lots), designs: designs(BY_EDITS.designs) };
    const over = { lots: lots(more.lots), designs: designs(more.designs) };
    expect(workspace.edit('fill', (d) => ({ ...d, [field]: full[field] }))).toBeNull();
    const { document } = workspace;
    const refusal = workspace.edit('more', (d) => ({ ...d, [field]: over[field] }));
    expect(refusal).toContain(`${more[field]} ${field}, over the ${BY_EDITS[field]}`);
    expect(refusal).toMatch(/Save a workspace file, then delete .* or take in fewer\.$/);
    expect(workspace.document).toBe(document);
  });

  it('may be more in a store or a file of before: it shrinks by edits and reads back from its file', async () => {
    const big = { ...workspaceOf([first]), lots: lots(5131), designs: designs(501) };
    big.open = big.designs[0]!.id;
    stored = holding(big);
    await openPage();
    expect(workspace.document).toBe(big);
    expect(workspace.edit('one less', (d) => withoutLot(d, 'lot-7'))).toBeNull();
    expect(workspace.edit('one more', (d) => withLot(d, { ...lots(1)[0]!, id: 'x' }))).toMatch(
      /over/,
    );

    const read = readWorkspace(JSON.stringify(workspace.document));
    if (!read.ok || 'kind' in read.value) throw new Error('no workspace');
    expect(read.value.problems).toEqual([]);
    const fresh = new Workspace(workspaceOf([second]));
    expect(fresh.replace('open', replaced(fresh.document, read.value))).toBeNull();
    expect(fresh.document.lots).toEqual(workspace.document.lots);
    expect(fresh.document.designs).toHaveLength(501);
  });

  it('is told of a shared design that does not come in', () => {
    workspace.edit('fill', (d) => ({ ...d, designs: designs(BY_EDITS.designs) }));
    expect(workspace.openCopy(second)).toMatch(/over/);
  });
});

describe('a blend', () => {
  const addition = { hop: 'Citra', form: 'cone', stage: 'mash', grams: 5 } as const;
  const blend = [addition];

  it('stays beside the brief it answers, without a step, and goes with the next edit', () => {
    workspace.editBrief('floral 2', floral(2));
    const { brief } = workspace.open;
    workspace.keepBlend(brief, [addition, { ...addition, grams: 0 }]);
    expect(workspace.open.blend).toEqual(blend);
    expect(workspace.undoName).toBe('floral 2');
    workspace.editBrief('floral 3', floral(3));
    expect(workspace.open.blend).toBeUndefined();
    workspace.keepBlend(brief, blend);
    expect(workspace.open.blend).toBeUndefined();
    workspace.undo();
    expect(workspace.open.blend).toEqual(blend);
  });

  it('that the schema would refuse is not kept', () => {
    workspace.keepBlend(workspace.open.brief, [{ ...addition, grams: Infinity }]);
    expect(workspace.open.blend).toBeUndefined();
  });

  it('does not make an untouched workspace a saved one', async () => {
    workspace.keepBlend(workspace.open.brief, blend);
    await vi.runAllTimersAsync();
    expect(kept).toEqual([]);
    expect(workspace.saving.state).toBe('untouched');
  });
});

describe('keeping', () => {
  it('begins to write with the edit itself, and says so', async () => {
    workspace.editBrief('floral 2', floral(2));
    expect(workspace.saving.state).toBe('saving');
    expect(kept).toEqual([workspace.document]);
    await vi.runAllTimersAsync();
    expect(kept).toHaveLength(1);
    expect(workspace.saving.state).toBe('saved');
  });

  it('writes a burst of edits in a few goes, never far behind, the newest last', async () => {
    for (let i = 0; i < 100; i += 1) {
      workspace.editBrief('floral', floral(i / 100));
      await vi.advanceTimersByTimeAsync(20);
      const behind = workspace.document !== kept.at(-1);
      if (behind) expect(workspace.saving.state).toBe('saving');
    }
    // 2 s of edits: one write at once, then one for each rest.
    expect(kept.length).toBeLessThanOrEqual(2000 / REST_MS + 1);
    expect(kept.length).toBeGreaterThanOrEqual(2000 / REST_MS - 1);
    await vi.runAllTimersAsync();
    expect(kept.at(-1)).toBe(workspace.document);
    expect(workspace.saving.state).toBe('saved');
  });

  it('writes one document at a time, after it the newest', async () => {
    let done!: (kept: Kept) => void;
    const slow = new Promise<Kept>((resolve) => (done = resolve));
    answer = slow as unknown as Kept;
    workspace.editBrief('floral 1', floral(1));
    workspace.editBrief('floral 2', floral(2));
    workspace.editBrief('floral 3', floral(3));
    await vi.advanceTimersByTimeAsync(1000);
    expect(kept).toHaveLength(1);
    answer = { kind: 'kept', news: nothing };
    done(answer);
    await vi.runAllTimersAsync();
    expect(kept).toHaveLength(2);
    expect(kept.at(-1)).toBe(workspace.document);
  });

  it('says why not and what can be done, and tries again with the next edit', async () => {
    answer = { kind: 'failed', reason: 'no room', cure: 'Save a file' };
    workspace.editBrief('floral 2', floral(2));
    await vi.runAllTimersAsync();
    expect(workspace.saving).toEqual({
      state: 'not_saved',
      reason: 'no room',
      cure: 'Save a file',
    });
    answer = { kind: 'kept', news: nothing };
    workspace.editBrief('floral 3', floral(3));
    await vi.runAllTimersAsync();
    expect(workspace.saving.state).toBe('saved');
  });

  it('leaves what is not written yet to the next page, and nothing where all is written', async () => {
    workspace.editBrief('floral 2', floral(2));
    workspace.leave();
    expect(left).toEqual([workspace.document]);
    await vi.runAllTimersAsync();
    workspace.leave();
    expect(left).toHaveLength(1);
    expect(workspace.isAtRisk).toBe(false);
  });

  it('takes up what was kept without a step back, and writes nothing for it', async () => {
    const own = workspaceOf([renamed(second, 'Own')]);
    stored = holding(own);
    workspace = new Workspace(workspaceOf([first]));
    await keep();
    expect(workspace.document).toBe(own);
    expect(workspace.undoName).toBeNull();
    expect(workspace.saving.state).toBe('saved');
    expect(kept).toEqual([]);
  });

  it('writes at once what a closed page has left', async () => {
    const own = workspaceOf([renamed(second, 'Own')]);
    stored = { ...holding(own), unsaved: true } as Loaded;
    await openPage();
    expect(kept).toEqual([own]);
    expect(workspace.saving.state).toBe('saved');
  });

  it('tells what could not be read until it is noted, whatever is edited meanwhile', async () => {
    const unread = [{ what: 'the lot “Citra”', reason: 'too new', record: {} }];
    stored = { ...holding(workspaceOf([second])), unread } as Loaded;
    await openPage();
    workspace.editBrief('floral 2', floral(2));
    await vi.runAllTimersAsync();
    expect(workspace.unread).toEqual(unread);
    workspace.noted();
    expect(workspace.unread).toEqual([]);
  });

  it('loses neither what was kept nor what was edited before the store answered', async () => {
    workspace = new Workspace(workspaceOf([first]));
    workspace.editBrief('floral 2', floral(2));
    stored = holding(workspaceOf([first, second]));
    await keep();
    expect(workspace.document.designs.slice(0, 2)).toEqual([first, second]);
    expect(workspace.open.brief.target.floral).toEqual({ aim: 2, within: 0.3 });
    expect(titleOf(workspace.open)).not.toBe(titleOf(first));
    expect(kept).toEqual([workspace.document]);
  });

  it('never writes into a store it could not read; the next edit reads it first', async () => {
    stored = { kind: 'failed', reason: 'no room', cure: 'Save a file' };
    await openPage();
    expect(workspace.saving).toMatchObject({ state: 'not_saved', reason: 'no room' });
    workspace.editBrief('floral 2', floral(2));
    await vi.runAllTimersAsync();
    expect(kept).toEqual([]);
    expect(workspace.isAtRisk).toBe(true);
    stored = holding(workspaceOf([second]));
    workspace.editBrief('floral 3', floral(3));
    await vi.runAllTimersAsync();
    expect(kept.at(-1)!.designs[0]).toBe(second);
    expect(openDesign(kept.at(-1)!).brief.target.floral).toEqual({ aim: 3, within: 0.3 });
    expect(workspace.isAtRisk).toBe(false);
  });

  it.each(['reading', 'writing'])(
    'tells a store that lets wait while %s, until it answers',
    async (when) => {
      let go!: () => void;
      const waiting = new Promise<void>((resolve) => (go = resolve));
      if (when === 'reading') stored = waiting.then(() => holding(null));
      else answer = waiting.then(() => ({ kind: 'kept', news: nothing })) as unknown as Kept;
      workspace = new Workspace(workspaceOf([first]));
      const kept = keep();
      await vi.advanceTimersByTimeAsync(10);
      workspace.editBrief('floral 2', floral(2));
      expect(workspace.saving.state).toBe('saving');
      const slow = { reason: 'it does not answer', cure: 'Save a file' };
      workspace.hold(slow);
      expect(workspace.saving).toEqual({ state: 'not_saved', ...slow });
      // What is edited meanwhile does not hide it.
      workspace.editBrief('floral 3', floral(3));
      expect(workspace.saving.state).toBe('not_saved');
      go();
      await vi.runAllTimersAsync();
      await kept;
      expect(workspace.saving.state).toBe('saved');
    },
  );
});

/** A fresh page over the store as it is now. */
async function openPage(): Promise<void> {
  workspace = new Workspace(workspaceOf([first]));
  await keep();
}

describe('another tab', () => {
  const theirs = renamed(second, 'Theirs');

  it('changes a design that is not open here: taken, also in every step back', async () => {
    workspace.editBrief('floral 2', floral(2));
    heard = news({ designs: new Map([[second.id, theirs]]) });
    await workspace.lookElsewhere();
    expect(designIn(workspace.document, second.id)).toBe(theirs);
    expect(workspace.clash).toBeNull();
    workspace.undo();
    expect(designIn(workspace.document, second.id)).toBe(theirs);
  });

  it('changes the open one: told, and its version loaded on request', async () => {
    workspace.edit('rename', (d) => withDesign(d, renamed(second, 'Mine')));
    const changed = renamed(first, 'Changed');
    heard = news({ designs: new Map([[first.id, changed]]) });
    await workspace.lookElsewhere();
    expect(workspace.clash).toMatchObject({ id: first.id, theirs: changed, edited: false });
    expect(workspace.open).toBe(first);
    workspace.takeTheirs();
    expect(workspace.open).toBe(changed);
    expect(workspace.clash).toBeNull();
  });

  it('changes one that is changed here too: both stay when mine becomes a copy', async () => {
    const changed = renamed(first, 'Changed');
    answer = { kind: 'kept', news: news({}, new Map([[first.id, changed]])) };
    workspace.editBrief('floral 2', floral(2));
    await vi.runAllTimersAsync();
    expect(workspace.clash?.edited).toBe(true);
    workspace.keepMine();
    expect(designIn(workspace.document, first.id)).toBe(changed);
    expect(workspace.open.brief.target.floral).toEqual({ aim: 2, within: 0.3 });
    expect(workspace.open.id).not.toBe(first.id);
  });

  it('has changed it when this one is closed: mine is kept as a copy unasked', async () => {
    answer = { kind: 'kept', news: news({}, new Map([[first.id, null]])) };
    workspace.editBrief('floral 2', floral(2));
    await vi.runAllTimersAsync();
    workspace.leave();
    const last = left.at(-1)!;
    expect(designIn(last, first.id)).toBeUndefined();
    expect(openDesign(last).brief.target.floral).toEqual({ aim: 2, within: 0.3 });
  });
});

it('finds names nobody bears', () => {
  const document = workspaceOf([renamed(first, 'Peach'), renamed(second, 'Peach 2')]);
  expect(freeName(document, 'Peach')).toBe('Peach 3');
  expect(freeName(document, 'Peach 2')).toBe('Peach 3');
  expect(freeName(document, 'Plum')).toBe('Plum');
});

it('starts a blank design with the batch, the stages, the hops at hand and the scale', () => {
  const blank = blankBrief(first.brief, 'New');
  expect(blank).toMatchObject({
    name: 'New',
    target: {},
    batch: first.brief.batch,
    stages: first.brief.stages,
    candidates: first.brief.candidates,
  });
  const { smallest_addition_g, weigh_step_g } = first.brief.limits;
  expect(weigh_step_g).toBeDefined();
  expect(blank.limits).toEqual({
    ban: [],
    require: [],
    holds_in_lots_at_least: HOLDS_IN_LOTS,
    smallest_addition_g,
    weigh_step_g,
  });
});
