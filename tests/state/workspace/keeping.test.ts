// A workspace kept in a store: when it is written, what happens where the store fails, is slow or was left by a closed
// page, and what another tab has saved meanwhile.
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import {
  designIn,
  openDesign,
  titleOf,
  withDesign,
  workspaceOf,
} from '#state/documents/documents.ts';
import type { Kept, Loaded } from '#state/documents/keeping.ts';
import { REST_MS } from '#state/documents/pace.ts';
import { Workspace } from '#state/workspace/workspace.svelte.ts';
import {
  first,
  floral,
  holding,
  news,
  nothing,
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

describe('keeping', () => {
  it('begins to write with the edit itself, and says so', async () => {
    workspace.editBrief('floral 2', floral(2));
    expect(workspace.saving.state).toBe('saving');
    expect(store.kept).toEqual([workspace.document]);
    await vi.runAllTimersAsync();
    expect(store.kept).toHaveLength(1);
    expect(workspace.saving.state).toBe('saved');
  });

  it('writes a burst of edits in a few goes, never far behind, the newest last', async () => {
    for (let i = 0; i < 100; i += 1) {
      workspace.editBrief('floral', floral(i / 100));
      await vi.advanceTimersByTimeAsync(20);
      const behind = workspace.document !== store.kept.at(-1);
      if (behind) expect(workspace.saving.state).toBe('saving');
    }
    // 2 s of edits: one write at once, then one for each rest.
    expect(store.kept.length).toBeLessThanOrEqual(2000 / REST_MS + 1);
    expect(store.kept.length).toBeGreaterThanOrEqual(2000 / REST_MS - 1);
    await vi.runAllTimersAsync();
    expect(store.kept.at(-1)).toBe(workspace.document);
    expect(workspace.saving.state).toBe('saved');
  });

  it('writes one document at a time, after it the newest', async () => {
    let done!: (kept: Kept) => void;
    const slow = new Promise<Kept>((resolve) => (done = resolve));
    store.answer = slow;
    workspace.editBrief('floral 1', floral(1));
    workspace.editBrief('floral 2', floral(2));
    workspace.editBrief('floral 3', floral(3));
    await vi.advanceTimersByTimeAsync(1000);
    expect(store.kept).toHaveLength(1);
    const saved: Kept = { kind: 'kept', news: nothing };
    store.answer = saved;
    done(saved);
    await vi.runAllTimersAsync();
    expect(store.kept).toHaveLength(2);
    expect(store.kept.at(-1)).toBe(workspace.document);
  });

  it('says why not and what can be done, and tries again with the next edit', async () => {
    store.answer = { kind: 'failed', reason: 'no room', cure: 'Save a file' };
    workspace.editBrief('floral 2', floral(2));
    await vi.runAllTimersAsync();
    expect(workspace.saving).toEqual({
      state: 'not_saved',
      reason: 'no room',
      cure: 'Save a file',
    });
    store.answer = { kind: 'kept', news: nothing };
    workspace.editBrief('floral 3', floral(3));
    await vi.runAllTimersAsync();
    expect(workspace.saving.state).toBe('saved');
  });

  it('leaves what is not written yet to the next page, and nothing where all is written', async () => {
    workspace.editBrief('floral 2', floral(2));
    workspace.leave();
    expect(store.left).toEqual([workspace.document]);
    await vi.runAllTimersAsync();
    workspace.leave();
    expect(store.left).toHaveLength(1);
    expect(workspace.isAtRisk).toBe(false);
  });

  it('takes up what was kept without a step back, and writes nothing for it', async () => {
    const own = workspaceOf([renamed(second, 'Own')]);
    store.stored = holding(own);
    workspace = new Workspace(workspaceOf([first]));
    await store.serve(workspace);
    expect(workspace.document).toBe(own);
    expect(workspace.undoName).toBeNull();
    expect(workspace.saving.state).toBe('saved');
    expect(store.kept).toEqual([]);
  });

  it('writes at once what a closed page has left', async () => {
    const own = workspaceOf([renamed(second, 'Own')]);
    store.stored = { ...holding(own), unsaved: true } as Loaded;
    await openPage();
    expect(store.kept).toEqual([own]);
    expect(workspace.saving.state).toBe('saved');
  });

  it('tells what could not be read until it is noted, whatever is edited meanwhile', async () => {
    const unread = [{ what: 'the lot “Citra”', reason: 'too new', record: {} }];
    store.stored = { ...holding(workspaceOf([second])), unread } as Loaded;
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
    store.stored = holding(workspaceOf([first, second]));
    await store.serve(workspace);
    expect(workspace.document.designs.slice(0, 2)).toEqual([first, second]);
    expect(workspace.open.brief.target.floral).toEqual({ aim: 2, within: 0.3 });
    expect(titleOf(workspace.open)).not.toBe(titleOf(first));
    expect(store.kept).toEqual([workspace.document]);
  });

  it('never writes into a store it could not read; the next edit reads it first', async () => {
    store.stored = { kind: 'failed', reason: 'no room', cure: 'Save a file' };
    await openPage();
    expect(workspace.saving).toMatchObject({ state: 'not_saved', reason: 'no room' });
    workspace.editBrief('floral 2', floral(2));
    await vi.runAllTimersAsync();
    expect(store.kept).toEqual([]);
    expect(workspace.isAtRisk).toBe(true);
    store.stored = holding(workspaceOf([second]));
    workspace.editBrief('floral 3', floral(3));
    await vi.runAllTimersAsync();
    expect(store.kept.at(-1)!.designs[0]).toBe(second);
    expect(openDesign(store.kept.at(-1)!).brief.target.floral).toEqual({ aim: 3, within: 0.3 });
    expect(workspace.isAtRisk).toBe(false);
  });

  it.each(['reading', 'writing'])(
    'tells a store that lets wait while %s, until it answers',
    async (when) => {
      let go!: () => void;
      const waiting = new Promise<void>((resolve) => (go = resolve));
      if (when === 'reading') store.stored = waiting.then(() => holding(null));
      else store.answer = waiting.then(() => ({ kind: 'kept', news: nothing }) as const);
      workspace = new Workspace(workspaceOf([first]));
      const read = store.serve(workspace);
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
      await read;
      expect(workspace.saving.state).toBe('saved');
    },
  );
});

/** A fresh page over the store as it is now. */
async function openPage(): Promise<void> {
  workspace = new Workspace(workspaceOf([first]));
  await store.serve(workspace);
}

describe('another tab', () => {
  const theirs = renamed(second, 'Theirs');

  it('changes a design that is not open here: taken, also in every step back', async () => {
    workspace.editBrief('floral 2', floral(2));
    store.heard = news({ designs: new Map([[second.id, theirs]]) });
    await workspace.lookElsewhere();
    expect(designIn(workspace.document, second.id)).toBe(theirs);
    expect(workspace.clash).toBeNull();
    workspace.undo();
    expect(designIn(workspace.document, second.id)).toBe(theirs);
  });

  it('changes the open one: reported, and its version loaded on request', async () => {
    workspace.edit('rename', (d) => withDesign(d, renamed(second, 'Mine')));
    const changed = renamed(first, 'Changed');
    store.heard = news({ designs: new Map([[first.id, changed]]) });
    await workspace.lookElsewhere();
    expect(workspace.clash).toMatchObject({ id: first.id, theirs: changed, edited: false });
    expect(workspace.open).toBe(first);
    workspace.takeTheirs();
    expect(workspace.open).toBe(changed);
    expect(workspace.clash).toBeNull();
  });

  it('changes one that is changed here too: both stay when mine becomes a copy', async () => {
    const changed = renamed(first, 'Changed');
    store.answer = { kind: 'kept', news: news({}, new Map([[first.id, changed]])) };
    workspace.editBrief('floral 2', floral(2));
    await vi.runAllTimersAsync();
    expect(workspace.clash?.edited).toBe(true);
    workspace.keepMine();
    expect(designIn(workspace.document, first.id)).toBe(changed);
    expect(workspace.open.brief.target.floral).toEqual({ aim: 2, within: 0.3 });
    expect(workspace.open.id).not.toBe(first.id);
  });

  it('has changed it when this one is closed: mine is kept as a copy unasked', async () => {
    store.answer = { kind: 'kept', news: news({}, new Map([[first.id, null]])) };
    workspace.editBrief('floral 2', floral(2));
    await vi.runAllTimersAsync();
    workspace.leave();
    const last = store.left.at(-1)!;
    expect(designIn(last, first.id)).toBeUndefined();
    expect(openDesign(last).brief.target.floral).toEqual({ aim: 2, within: 0.3 });
  });
});
