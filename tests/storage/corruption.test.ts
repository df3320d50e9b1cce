// What a damaged store loses: nothing that is sound. Drawn damage is written straight into the
// database, a page is opened over it and something is edited there; then every record that was not
// edited must stand as it did, readable or not.
import { isDeepStrictEqual } from 'node:util';
import fc from 'fast-check';
import { afterEach, expect, it } from 'vitest';
import {
  savedDesign,
  withBatch,
  withLot,
  withNewDesign,
  withoutLot,
} from '#state/documents/documents.ts';
import type { Workspace } from '#state/workspace/workspace.svelte.ts';
import { plainRecords } from '#ui/documents/unread-file.ts';
import {
  closePages,
  deleteRaw,
  emptyBrowser,
  keptBrowser,
  lot,
  openPage,
  putRaw,
  records,
  STARTER,
  type Raw,
} from './browser-store.ts';

afterEach(closePages);

const garbage = fc.constantFrom<unknown>(
  null,
  0,
  NaN,
  'text',
  '',
  true,
  [],
  [1, 2],
  {},
  { id: 'a' },
  new Map([['a', 1]]),
  new Date(0),
  10n,
);
const keys = [
  'design:own0',
  'design:own1',
  'design:own2',
  'lot:a',
  'lot:b',
  'lot:c',
  'lot:d',
  'batch:x',
  'usual',
  'order',
];

interface Damage {
  readonly what: string;
  readonly of: (record: Raw) => Raw | null;
}
const valueWith = (record: Raw, change: Record<string, unknown>): Raw => ({
  ...record,
  value: { ...(record['value'] as object), ...change },
});

const damage: fc.Arbitrary<Damage> = fc.oneof(
  garbage.map((value) => ({ what: 'value', of: (r: Raw) => ({ ...r, value }) })),
  fc
    .record({
      field: fc.constantFrom(
        'id',
        'brief',
        'hop',
        'form',
        'open',
        'lots',
        'designs',
        'note',
        'batch',
      ),
      value: garbage,
    })
    .map(({ field, value }) => ({
      what: `field ${field}`,
      of: (r: Raw) => valueWith(r, { [field]: value }),
    })),
  fc
    .constantFrom<unknown>(2, 99, Infinity, -1, 1.5, '9', null, undefined, {})
    .map((version) => ({ what: 'version', of: (r: Raw) => ({ ...r, version }) })),
  fc
    .constantFrom<unknown>('', 5, null, undefined, {}, ['x'])
    .map((stamp) => ({ what: 'stamp', of: (r: Raw) => ({ ...r, stamp }) })),
  fc
    .constantFrom('own1', 'a', 'b', 'nobody', 'Not An Id', '')
    .map((id) => ({ what: 'inner id', of: (r: Raw) => valueWith(r, { id }) })),
  fc.constant({ what: 'missing', of: () => null }),
  fc.constant({ what: 'only a key', of: ({ key }: Raw) => ({ key }) }),
  fc
    .constantFrom('design:', 'lot:', 'lot:Not An Id', 'batch:', 'kind:x', 'usual2')
    .map((key) => ({ what: 'key', of: (r: Raw) => ({ ...r, key }) })),
);
/** One record, or all of a kind. */
const places = fc.oneof(
  fc.constantFrom(...keys).map((key) => [key]),
  fc
    .constantFrom('design:', 'lot:', 'batch:', '')
    .map((kind) => keys.filter((key) => key.startsWith(kind))),
);
const damages = fc.array(fc.tuple(places, damage), { minLength: 1, maxLength: 3 });

/** What is edited after it, and the keys it may touch. */
const edits: Record<string, (workspace: Workspace) => string[]> = {
  brief: (workspace) => {
    const fault = workspace.editBrief('rename', (brief) => ({ ...brief, name: 'Edited' }));
    expect(fault).toBeNull();
    return [`design:${workspace.open.id}`];
  },
  lot: (workspace) => {
    const first = workspace.document.lots[0] ?? lot('fresh', 'Simcoe');
    expect(workspace.edit('lot', (d) => withLot(d, { ...first, note: 'Edited' }))).toBeNull();
    return [`lot:${first.id}`];
  },
  batch: (workspace) => {
    const batch = workspace.document.batches[0];
    if (!batch) return edits['lot']!(workspace);
    expect(workspace.edit('batch', (d) => withBatch(d, { ...batch, note: 'Edited' }))).toBeNull();
    return [`batch:${batch.id}`];
  },
  remove: (workspace) => {
    const first = workspace.document.lots[0];
    if (!first) return edits['brief']!(workspace);
    expect(workspace.edit('remove', (d) => withoutLot(d, first.id))).toBeNull();
    return [`lot:${first.id}`];
  },
  design: (workspace) => {
    const design = savedDesign(workspace.open.brief);
    expect(workspace.edit('new', (d) => withNewDesign(d, design))).toBeNull();
    return [];
  },
};

it('deletes and changes no record that is not edited, whatever is damaged', async () => {
  await keptBrowser();
  const sound = [...(await records()).values()];
  let unreadable = 0;
  await fc.assert(
    fc.asyncProperty(damages, fc.constantFrom(...Object.keys(edits)), async (drawn, edit) => {
      emptyBrowser();
      (await openPage()).die();
      await putRaw(...sound);
      for (const [places, { of }] of drawn) {
        for (const key of places) {
          const record = (await records()).get(key);
          if (!record) continue;
          await deleteRaw(key);
          const damaged = of(record);
          if (damaged) await putRaw(damaged);
        }
      }
      const before = await records();

      const { workspace, die } = await openPage();
      const { designs, lots, batches } = workspace.document;
      expect(new Set(designs.map(({ id }) => id)).size).toBe(designs.length);
      expect(new Set(lots.map(({ id }) => id)).size).toBe(lots.length);
      // A record is shown or named; none is passed over.
      const shown =
        designs.filter(({ id }) => before.has(`design:${id}`)).length +
        lots.length +
        batches.length +
        (workspace.document.usual ? 1 : 0);
      const isDemo = before.size === 0;
      if (!isDemo)
        expect(shown + workspace.unread.length).toBe(before.size - (before.has('order') ? 1 : 0));
      // What is as it was kept is shown as it was kept.
      for (const record of sound) {
        const isWhole = isDeepStrictEqual(before.get(record.key), record);
        if (!isWhole || record.key === 'order' || record.key === 'usual') continue;
        expect([...designs, ...lots, ...batches]).toContainEqual(record['value']);
      }
      expect(() => JSON.stringify(plainRecords(workspace.unread))).not.toThrow();
      unreadable += workspace.unread.length;

      const touched = edits[edit]!(workspace);
      await workspace.save();
      expect(workspace.saving.state).toBe('saved');
      const after = await records();
      for (const [key, record] of before) {
        if (key === 'order' || touched.includes(key)) continue;
        expect(after.get(key), key).toEqual(record);
      }
      // The edit itself is there for the next page.
      const edited = workspace.document;
      die();
      const again = (await openPage()).workspace.document;
      closePages();
      expect(again.designs.map(({ id }) => id)).toEqual(edited.designs.map(({ id }) => id));
      expect(again.lots).toEqual(edited.lots);
    }),
    { numRuns: 200, seed: 10 },
  );
  expect(unreadable).toBeGreaterThan(100);
});

it('shows the person’s lots and usual schedule where no design can be read', async () => {
  const own = await keptBrowser();
  const all = await records();
  await putRaw(
    ...[...all.values()]
      .filter(({ key }) => key.startsWith('design:'))
      .map((r) => ({ ...r, version: 2 })),
  );
  const { workspace } = await openPage();
  expect(workspace.document.lots).toEqual(own.lots);
  expect(workspace.document.usual).toEqual(own.usual);
  expect(workspace.document.designs).toHaveLength(1);
  expect(STARTER.designs).not.toContainEqual(workspace.open);
  expect(workspace.unread.map(({ what }) => what)).toEqual([
    'the design “Own 0”',
    'the design “Own 1”',
    'the design “Own 2”',
  ]);
});

it('gives a record its key’s id, so that no two parts bear the same', async () => {
  await keptBrowser();
  const all = await records();
  await putRaw(
    valueWith(all.get('lot:a')!, { id: 'b' }),
    valueWith(all.get('design:own1')!, { id: 'own0' }),
  );
  const { workspace } = await openPage();
  expect(workspace.document.lots.map(({ id, hop }) => [id, hop])).toEqual([
    ['a', 'Citra'],
    ['b', 'Cascade'],
    ['c', 'Mosaic'],
    ['d', 'Saaz'],
  ]);
  expect(workspace.document.designs.map(({ id }) => id)).toEqual(['own0', 'own1', 'own2']);
  expect(workspace.unread).toEqual([]);
});

it('keeps an unreadable record aside when a part of the same key comes in', async () => {
  const own = await keptBrowser();
  const all = await records();
  const newer = { ...all.get('lot:a')!, version: 2 };
  const usual = { ...all.get('usual')!, value: { name: 'Not read' } };
  await putRaw(newer, usual);
  const { workspace, die } = await openPage();
  workspace.edit('open a file', (d) => ({ ...withLot(d, own.lots[0]!), usual: own.usual! }));
  await workspace.save();
  die();
  const after = [...(await records()).values()];
  const aside = after.filter(({ key }) => key.startsWith('aside:')).map((r) => r['value']);
  expect(aside).toHaveLength(2);
  expect(aside).toEqual(expect.arrayContaining([newer, usual]));
  const again = (await openPage()).workspace;
  expect(again.document.lots).toContainEqual(own.lots[0]);
  expect(again.document.usual).toEqual(own.usual);
  expect(again.unread.map(({ what }) => what).sort()).toEqual([
    'the lot “Citra”',
    'the usual schedule',
  ]);
});
