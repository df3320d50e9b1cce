// The steps of a workspace over briefs and designs alike, how much it holds, the blend kept beside a brief, names
// and blank designs.
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { BY_EDITS, type SavedDesign, type SavedLot } from '#shared/schemas/workspace.ts';
import { readWorkspace } from '#shared/reading/read-workspace.ts';
import { replaced } from '#state/documents/arrivals.ts';
import {
  blankBrief,
  freeName,
  withLot,
  withNewDesign,
  withoutDesign,
  withoutLot,
  workspaceOf,
  HOLDS_IN_LOTS,
} from '#state/documents/documents.ts';
import { Workspace } from '#state/workspace/workspace.svelte.ts';
import {
  first,
  floral,
  holding,
  type PlayedStore,
  renamed,
  second,
  servedWorkspace,
} from './played-store.ts';

let workspace: Workspace;
let store: PlayedStore;

beforeEach(async () => {
  vi.useFakeTimers();
  ({ store, workspace } = await servedWorkspace());
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

  it.each(['lots', 'designs'] as const)('is reported with a cure where %s go over it', (field) => {
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
    store.stored = holding(big);
    workspace = new Workspace(workspaceOf([first]));
    await store.serve(workspace);
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

  it('reports a shared design that does not come in', () => {
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
    expect(store.kept).toEqual([]);
    expect(workspace.saving.state).toBe('untouched');
  });
});

it('finds names nobody bears', () => {
  const document = workspaceOf([renamed(first, 'Peach'), renamed(second, 'Peach 2')]);
  expect(freeName(document, 'Peach')).toBe('Peach 3');
  expect(freeName(document, 'Peach 2')).toBe('Peach 3');
  expect(freeName(document, 'Plum')).toBe('Plum');
});

it('starts a blank design with the batch, the stages, their usual forms and doses, the hops at hand and the scale', () => {
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
    stage_forms: { mash: ['pellet_90', 'cone'] },
    stage_at_most_g_per_l: { mash: 5, hot_steep: 5 },
    smallest_addition_g,
    weigh_step_g,
  });
  // Where no stage has a form or a dose that brewers leave out, none is limited.
  const { mash: _, hot_steep: __, ...stages } = first.brief.stages;
  const { limits } = blankBrief({ ...first.brief, stages }, 'New');
  expect(limits).not.toHaveProperty('stage_forms');
  expect(limits).not.toHaveProperty('stage_at_most_g_per_l');
});
