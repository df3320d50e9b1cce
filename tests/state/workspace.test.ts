// The workspace with a played store: steps over briefs and designs alike, keeping, and what another
// tab has saved meanwhile.
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { SEED_BRIEFS } from '#seeds/index.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { SavedDesign, WorkspaceDocument } from '#shared/schemas/workspace.ts';
import {
  blankBrief,
  designIn,
  freeName,
  openDesign,
  savedDesign,
  titleOf,
  withNewDesign,
  withoutDesign,
  workspaceOf,
} from '#state/documents.ts';
import type { Kept, News } from '#state/keeping.ts';
import { Workspace } from '#state/workspace.svelte.ts';

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
const nothing: News = { taken: { designs: new Map(), lots: new Map() }, clashes: new Map() };
const news = (change: Partial<News['taken']>, clashes: News['clashes'] = new Map()): News => ({
  taken: { ...nothing.taken, ...change },
  clashes,
});

let workspace: Workspace;
let kept: WorkspaceDocument[];
let answer: Kept;
let heard: News | null;

function keep(): void {
  workspace.useKeeper({
    save: async (document) => {
      kept.push(document);
      return answer;
    },
    news: async () => heard,
    took: () => {},
  });
}

beforeEach(() => {
  vi.useFakeTimers();
  kept = [];
  heard = null;
  answer = { kind: 'kept', news: nothing };
  workspace = new Workspace(workspaceOf([first, second]));
  keep();
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

  it('does not make an untouched workspace a saved one', async () => {
    workspace.keepBlend(workspace.open.brief, blend);
    await vi.runAllTimersAsync();
    expect(kept).toEqual([]);
    expect(workspace.saving.state).toBe('untouched');
  });
});

describe('keeping', () => {
  it('writes once after a run of edits and says so', async () => {
    workspace.editBrief('floral 2', floral(2));
    workspace.editBrief('floral 3', floral(3));
    expect(workspace.saving.state).toBe('saving');
    await vi.runAllTimersAsync();
    expect(kept).toEqual([workspace.document]);
    expect(workspace.saving.state).toBe('saved');
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

  it('writes at once when the page is left, and not twice', async () => {
    workspace.editBrief('floral 2', floral(2));
    workspace.flush();
    expect(kept).toHaveLength(1);
    await vi.runAllTimersAsync();
    expect(kept).toHaveLength(1);
  });

  it('takes up what was kept without a step back', () => {
    const own = workspaceOf([renamed(second, 'Own')]);
    workspace.restore(own);
    expect(workspace.document).toBe(own);
    expect(workspace.undoName).toBeNull();
  });

  it('loses neither what was kept nor what was edited before the store answered', () => {
    workspace = new Workspace(workspaceOf([first]));
    workspace.editBrief('floral 2', floral(2));
    workspace.restore(workspaceOf([first, second]));
    keep();
    expect(workspace.document.designs.slice(0, 2)).toEqual([first, second]);
    expect(workspace.open.brief.target.floral).toEqual({ aim: 2, within: 0.3 });
    expect(titleOf(workspace.open)).not.toBe(titleOf(first));
    expect(kept).toEqual([workspace.document]);
  });
});

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
    workspace.editBrief('floral 2', floral(2));
    const changed = renamed(first, 'Changed');
    answer = { kind: 'kept', news: news({}, new Map([[first.id, changed]])) };
    await vi.runAllTimersAsync();
    expect(workspace.clash?.edited).toBe(true);
    workspace.keepMine();
    expect(designIn(workspace.document, first.id)).toBe(changed);
    expect(workspace.open.brief.target.floral).toEqual({ aim: 2, within: 0.3 });
    expect(workspace.open.id).not.toBe(first.id);
  });

  it('has changed it when this one is closed: mine is kept as a copy unasked', async () => {
    workspace.editBrief('floral 2', floral(2));
    answer = { kind: 'kept', news: news({}, new Map([[first.id, null]])) };
    await vi.runAllTimersAsync();
    workspace.flush();
    const last = kept.at(-1)!;
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
  expect(blank.limits).toEqual({ ban: [], require: [], smallest_addition_g, weigh_step_g });
});
