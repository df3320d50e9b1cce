// The keeper over a database in memory: what two pages make of each other's work, what a closing page
// leaves to the next, and what becomes of it when the database is held, emptied or taken away.
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { SavedBatch } from '#shared/schemas/batch.ts';
import { check } from '#shared/reading/check.ts';
import {
  savedLotSchema,
  type SavedLot,
  type WorkspaceDocument,
} from '#shared/schemas/workspace.ts';
import {
  withBatch,
  withLot,
  withoutDesign,
  withSingle,
  withoutLot,
} from '#state/documents/documents.ts';
import {
  closePages,
  keptBrowser,
  leftRecords,
  openPage,
  putRawInto,
  records,
  type Page,
} from './browser-store.ts';

/** Waits for what other pages and the database bring; a busy machine may take long. */
const comes = (check: () => unknown) => vi.waitFor(check, { timeout: 60_000, interval: 5 });

let own: WorkspaceDocument;
beforeEach(async () => {
  own = await keptBrowser();
});
afterEach(closePages);

const lotOf = ({ workspace }: Page, id: string) =>
  workspace.document.lots.find((lot) => lot.id === id)!;
function change(page: Page, id: string, figures: Partial<SavedLot>, gone?: keyof SavedLot): void {
  const next = { ...lotOf(page, id), ...figures };
  if (gone) delete next[gone];
  expect(page.workspace.edit('change', (d) => withLot(d, next))).toBeNull();
}
const rename = ({ workspace }: Page, name: string) =>
  workspace.editBrief('rename', (brief) => ({ ...brief, name }));
const kept = async (key: string) => (await records()).get(key)?.['value'];
/** Until both have heard of each other. */
const agree = (...pages: Page[]) =>
  comes(() => {
    for (const { workspace } of pages) {
      expect(workspace.saving.state).toBe('saved');
      expect(workspace.document.lots).toEqual(pages[0]!.workspace.document.lots);
    }
  });

describe('two pages', () => {
  it('put the fields of a lot together that each has changed', async () => {
    const [one, two] = [await openPage(), await openPage()];
    change(one, 'a', { price_per_kg: 50 });
    change(two, 'a', { note: 'cold' });
    await agree(one, two);
    expect(lotOf(two, 'a')).toMatchObject({ price_per_kg: 50, note: 'cold', grams_on_hand: 500 });
    expect(await kept('lot:a')).toEqual(lotOf(one, 'a'));
    expect(one.workspace.keptTwice).toEqual([]);
  });

  it('keep both where the fields do not go together, and both are reported', async () => {
    const [one, two] = [await openPage(), await openPage()];
    change(one, 'd', { grams_on_hand: 200 });
    change(two, 'd', { package_g: 100 });
    await agree(one, two);
    const lots = [...(await records()).values()].filter(({ key }) => key.startsWith('lot:'));
    for (const { value } of lots) expect(check(value, savedLotSchema).ok).toBe(true);
    const saaz = one.workspace.document.lots.filter(({ hop }) => hop === 'Saaz');
    expect(saaz.map((l) => [l.grams_on_hand, l.package_g])).toEqual([
      [200, undefined],
      [undefined, 100],
    ]);
    await comes(() => {
      expect(one.workspace.keptTwice).toEqual(['Saaz']);
      expect(two.workspace.keptTwice).toEqual(['Saaz']);
    });
    one.die();
    two.die();
    const again = await openPage();
    expect(again.workspace.unread).toEqual([]);
    expect(again.workspace.document.lots).toEqual(one.workspace.document.lots);
  });

  it('put the fields of a batch together, or keep both and tell its name', async () => {
    const [one, two] = [await openPage(), await openPage()];
    const batchOf = ({ workspace }: Page) => workspace.document.batches[0]!;
    const amend = (page: Page, fields: Partial<SavedBatch>) =>
      expect(
        page.workspace.edit('amend', (d) => withBatch(d, { ...batchOf(page), ...fields })),
      ).toBeNull();
    const together = () =>
      comes(() => {
        for (const { workspace } of [one, two]) expect(workspace.saving.state).toBe('saved');
        expect(one.workspace.document.batches).toEqual(two.workspace.document.batches);
      });
    amend(one, { done: ['mash'] });
    amend(two, { measured: { original_gravity_sg: 1.05 } });
    await together();
    expect(batchOf(two)).toMatchObject({
      done: ['mash'],
      measured: { original_gravity_sg: 1.05 },
    });
    expect(await kept('batch:x')).toEqual(batchOf(one));
    // Deleted there, changed here: the work stays.
    two.workspace.edit('delete', (d) => ({ ...d, batches: [] }));
    amend(one, { note: 'split in two kegs' });
    await together();
    expect(two.workspace.document.batches[0]?.note).toBe('split in two kegs');
  });

  it('take over what the other adds and deletes', async () => {
    const [one, two] = [await openPage(), await openPage()];
    one.workspace.edit('remove', (d) => withoutLot(d, 'b'));
    two.workspace.edit('remove', (d) => withoutDesign(d, 'own2'));
    await agree(one, two);
    await comes(() => expect(one.workspace.document.designs).toHaveLength(2));
    expect((await records()).has('lot:b')).toBe(false);
  });

  it('share what is to be brewed next, its taking back too', async () => {
    const [one, two] = [await openPage(), await openPage()];
    const season = {
      minimise: 'weight' as const,
      buys_any: true,
      brews: [{ design: 'own2', on: '2027-01-09' }],
    };
    expect(one.workspace.edit('plan', (d) => withSingle(d, 'season', season))).toBeNull();
    await comes(() => expect(two.workspace.document.season).toEqual(season));
    expect(await kept('season')).toEqual(season);
    one.workspace.undo();
    await comes(() => expect(two.workspace.document.season).toBeUndefined());
    const twice = { ...season, brews: [...season.brews, ...season.brews] };
    expect(one.workspace.edit('plan', (d) => withSingle(d, 'season', twice))).toMatch(/twice/);
  });

  it('do not lose what was edited while the two versions met', async () => {
    const [one, two] = [await openPage(), await openPage()];
    change(one, 'a', { price_per_kg: 50 });
    await one.workspace.save();
    const saving = two.workspace.lookElsewhere();
    change(two, 'a', { note: 'cold' });
    change(two, 'a', { note: 'colder' });
    await saving;
    await agree(one, two);
    expect(lotOf(one, 'a')).toMatchObject({ price_per_kg: 50, note: 'colder' });
  });
});

describe.each([
  ['with a store of texts', true],
  ['without one', false],
])('a closing page %s', (_, texts) => {
  beforeEach(async () => {
    own = await keptBrowser(undefined, texts);
  });

  it('leaves what it could not write, and the next page writes it', async () => {
    const page = await openPage();
    rename(page, 'Left behind');
    page.workspace.edit('remove', (d) => withoutLot(d, 'b'));
    // As the browser does: the page is gone before any answer comes, what it has committed is not.
    page.keeper.leave(page.workspace.document);
    page.die();
    const next = await openPage();
    expect(next.workspace.open.brief.name).toBe('Left behind');
    expect(next.workspace.document.lots.map(({ id }) => id)).toEqual(['a', 'c', 'd']);
    expect(next.workspace.saving.state).toBe('saved');
    expect(await kept(`design:${next.workspace.open.id}`)).toEqual(next.workspace.open);
    expect((await records()).has('lot:b')).toBe(false);
    expect(await leftRecords()).toEqual([]);
  });

  it('is met like another tab where somebody else has written the same', async () => {
    const [page, other] = [await openPage(), await openPage()];
    rename(page, 'Left behind');
    change(page, 'a', { note: 'left' });
    page.keeper.save = () => new Promise(() => {});
    page.keeper.leave(page.workspace.document);
    page.die();
    await comes(async () => expect(await leftRecords()).toHaveLength(1));
    rename(other, 'Meanwhile');
    change(other, 'a', { price_per_kg: 55 });
    await comes(() => expect(other.workspace.saving.state).toBe('saved'));
    other.die();
    const next = await openPage();
    const { workspace } = next;
    expect(lotOf(next, 'a')).toMatchObject({ price_per_kg: 55, note: 'left' });
    expect(workspace.clash).toMatchObject({ title: 'Left behind', edited: true });
    workspace.keepMine();
    expect(workspace.open.brief.name).toBe('Left behind (copy)');
    expect(workspace.document.designs.map(({ brief }) => brief.name)).toContain('Meanwhile');
  });

  it('and another page that takes over the same agree', async () => {
    const page = await openPage();
    rename(page, 'Left behind');
    page.keeper.leave(page.workspace.document);
    page.die();
    const [one, two] = await Promise.all([openPage(), openPage()]);
    await agree(one, two);
    for (const { workspace } of [one, two]) {
      expect(workspace.clash).toBeNull();
      expect(workspace.open.brief.name).toBe('Left behind');
    }
    expect(await leftRecords()).toEqual([]);
  });

  it('leaves one record for all that pages before it have left', async () => {
    let page = await openPage();
    for (const name of ['First', 'Second', 'Third']) {
      page.keeper.save = () => new Promise(() => {});
      rename(page, name);
      page.keeper.leave(page.workspace.document);
      page.die();
      await comes(async () => expect(await leftRecords()).toHaveLength(1));
      page = await openPage();
      expect(page.workspace.open.brief.name).toBe(name);
    }
    expect(await leftRecords()).toEqual([]);
  });

  it('keeps an edit that was left while an older one was still to be written', async () => {
    const page = await openPage();
    rename(page, 'First');
    page.keeper.leave(page.workspace.document);
    const saving = page.keeper.save(page.workspace.document);
    page.keeper.save = () => new Promise(() => {});
    rename(page, 'Second');
    page.keeper.leave(page.workspace.document);
    await saving;
    page.die();
    const next = await openPage();
    expect(next.workspace.open.brief.name).toBe('Second');
    expect(next.workspace.clash).toBeNull();
  });

  it('that lives on takes back what it left', async () => {
    const page = await openPage();
    rename(page, 'Not gone');
    page.workspace.leave();
    await comes(async () => expect(await leftRecords()).toEqual([]));
    expect(await kept(`design:${page.workspace.open.id}`)).toEqual(page.workspace.open);
  });

  it.each([
    ['a newer version', { page: 'x', version: 2, value: {} }],
    ['nonsense', { page: 'x', version: 1, value: { order: 5 } }],
  ])('whose record is of %s: named and left where it is', async (_, record) => {
    await putRawInto('left', record);
    const page = await openPage();
    expect(page.workspace.document).toEqual(own);
    expect(page.workspace.unread).toHaveLength(1);
    rename(page, 'On');
    await page.workspace.save();
    expect(await leftRecords()).toEqual([record]);
  });
});

it('is not met again where a killed browser brings its text back', async () => {
  const page = await openPage();
  rename(page, 'First');
  page.keeper.save = () => new Promise(() => {});
  page.keeper.leave(page.workspace.document);
  page.die();
  const key = localStorage.key(0)!;
  const text = localStorage.getItem(key)!;
  const next = await openPage();
  rename(next, 'Second');
  await next.workspace.save();
  next.die();
  // As a browser that was killed before it had put its texts on the disk.
  localStorage.setItem(key, text);
  const last = await openPage();
  expect(last.workspace.open.brief.name).toBe('Second');
  expect(last.workspace.clash).toBeNull();
  await comes(async () => expect(await leftRecords()).toEqual([]));
});

describe('a database', () => {
  /** Opens it as a page of another version would, and keeps it open. */
  async function hold(version?: number): Promise<IDBDatabase> {
    const opening = indexedDB.open('blendbine', version);
    return new Promise((done) => (opening.onsuccess = () => done(opening.result)));
  }

  // The browser tells only the first of a page's own requests that the database is held.
  it.each([
    ['the keeper of the workspace', false],
    ['the question whether this browser shares', true],
  ])('held by an older page is told with the cure where %s comes first', async (_, asksFirst) => {
    vi.stubGlobal('indexedDB', new (await import('fake-indexeddb')).IDBFactory());
    const older = await hold(1);
    const { Workspace } = await import('#state/workspace/workspace.svelte.ts');
    const { WorkspaceKeeper } = await import('#storage/keeper.ts');
    const { isSharing } = await import('#storage/membership.ts');
    const asked = asksFirst ? isSharing() : null;
    if (asksFirst) await new Promise((done) => setTimeout(done));
    const workspace = new Workspace(own);
    const keeper = new WorkspaceKeeper({
      saved: () => {},
      blocked: (fault) => workspace.hold(fault),
    });
    const opening = workspace.useKeeper(keeper);
    await comes(() =>
      expect(workspace.saving).toMatchObject({
        state: 'not_saved',
        cure: expect.stringMatching(/^Close the other tabs/),
      }),
    );
    workspace.editBrief('rename', (brief) => ({ ...brief, name: 'Edited meanwhile' }));
    expect(workspace.saving.state).toBe('not_saved');
    older.close();
    await opening;
    expect(workspace.saving.state).toBe('saved');
    const names = [...(await records()).values()].map(
      (r) => (r['value'] as { brief?: { name: string } }).brief?.name,
    );
    expect(names).toContain('Edited meanwhile');
    expect(await asked).not.toBe(true);
    keeper.close();
  });

  it('that does not answer is reported after a while, and gone on with when it does', async () => {
    const page = await openPage();
    const foreign = await hold();
    const store = foreign.transaction('entries', 'readwrite').objectStore('entries');
    let isBusy = true;
    const busy = () => {
      if (isBusy) store.get('order').onsuccess = busy;
    };
    busy();
    vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] });
    rename(page, 'Waiting');
    vi.advanceTimersByTime(4900);
    expect(page.workspace.saving.state).toBe('saving');
    vi.advanceTimersByTime(200);
    vi.useRealTimers();
    expect(page.workspace.saving).toMatchObject({
      state: 'not_saved',
      reason: expect.stringMatching(/not answered/),
    });
    isBusy = false;
    await comes(() => expect(page.workspace.saving.state).toBe('saved'));
    foreign.close();
  });

  it('that a newer page has taken over is reported, with what to do', async () => {
    const page = await openPage();
    (await hold(99)).close();
    rename(page, 'Too late');
    await comes(() =>
      expect(page.workspace.saving).toMatchObject({
        state: 'not_saved',
        reason: expect.stringMatching(/newer version/),
        cure: expect.stringMatching(/file/),
      }),
    );
    expect(page.workspace.isAtRisk).toBe(true);
  });

  it('that was deleted under a page is written anew with all the page holds', async () => {
    const page = await openPage();
    const deleting = indexedDB.deleteDatabase('blendbine');
    await new Promise((done) => (deleting.onsuccess = done));
    await page.workspace.lookElsewhere();
    expect(page.workspace.document.lots).toEqual(own.lots);
    rename(page, 'Still here');
    await page.workspace.save();
    page.die();
    const { document } = (await openPage()).workspace;
    expect(document.lots).toEqual(own.lots);
    expect(document.designs).toHaveLength(own.designs.length);
  });
});
