// Devices that share a freezer: what two change apart is put together, draws add up, nothing is lost where a
// device dies or its disk is full, and nothing unreadable is taken over from the line.
import fc from 'fast-check';
import * as Y from 'yjs';
import { describe, expect, it } from 'vitest';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { savedBatchSchema, type SavedBatch } from '#shared/schemas/batch.ts';
import { savedDesign } from '#state/documents/documents.ts';
import type { SavedLot } from '#shared/schemas/workspace.ts';
import { lot } from '../storage/browser-store.ts';
import { Device, join, PLANNED } from './device.ts';

const brief = SEED_BRIEFS[0]!.brief;
const batch = (id: string, more: Partial<SavedBatch> = {}): SavedBatch => ({
  ...savedBatchSchema.parse({ id, name: id, planned: PLANNED, brewed: PLANNED }),
  ...more,
});
const citra = (more: Partial<SavedLot> = {}) => lot('a', 'Citra', { grams_on_hand: 500, ...more });

async function two(): Promise<[Device, Device]> {
  const [one, other] = [new Device('kettle'), new Device('cellar')];
  one.edit({ 'lot:a': citra() });
  await join(one, other);
  return [one, other];
}

/** A batch takes grams out of lot a, as the page does it: both in one edit. */
function draw(device: Device, id: string, grams: number): void {
  const now = device.lot('a')!;
  device.edit({
    'lot:a': { ...now, grams_on_hand: now.grams_on_hand! - grams },
    [`batch:${id}`]: batch(id, { drawn: [{ lot: 'a', grams: grams as never }] }),
  });
}

describe('two devices', () => {
  it('keep both edits of two fields of one lot', async () => {
    const [one, other] = await two();
    one.edit({ 'lot:a': citra({ price_per_kg: 40 }) });
    other.edit({
      'lot:a': citra({ note: 'cold', analysis: { linalool_pct_of_oil: 0.9 } as never }),
    });
    await join(one, other);
    expect(other.lot('a')).toMatchObject({ price_per_kg: 40, note: 'cold', grams_on_hand: 500 });
    expect(one.kept()).toEqual(other.kept());
  });

  it('add up what both draw, and what one puts back', async () => {
    const [one, other] = await two();
    draw(one, 'x', 60);
    draw(other, 'y', 100);
    await join(one, other);
    expect([one, other].map((d) => d.lot('a')!.grams_on_hand)).toEqual([340, 340]);
    one.edit({ 'lot:a': { ...one.lot('a')!, grams_on_hand: 400 as never }, 'batch:x': batch('x') });
    other.edit({ 'lot:a': { ...other.lot('a')!, grams_on_hand: 335 as never } });
    await join(one, other);
    expect([one, other].map((d) => d.lot('a')!.grams_on_hand)).toEqual([395, 395]);
  });

  it('hand on what is to be brewed next', async () => {
    const [one, other] = await two();
    const brews = [{ design: 'own', on: '2027-01-09' }];
    one.edit({ season: { minimise: 'weight', buys_any: false, brews } });
    await join(one, other);
    other.edit({ season: { minimise: 'cost', buys_any: false, brews } });
    one.edit({ season: { minimise: 'weight', buys_any: true, brews } });
    await join(one, other);
    expect(one.part('season')).toEqual({ minimise: 'cost', buys_any: true, brews });
    expect(one.kept()).toEqual(other.kept());
  });

  it('count the draw of one batch once, pressed on both', async () => {
    const [one, other] = await two();
    one.edit({ 'batch:x': batch('x') });
    await join(one, other);
    draw(one, 'x', 60);
    draw(other, 'x', 60);
    await join(one, other);
    expect(other.lot('a')!.grams_on_hand).toBe(440);
  });

  it('show nothing left where more was drawn than there was, and take a count for what it is', async () => {
    const [one, other] = await two();
    draw(one, 'x', 400);
    draw(other, 'y', 300);
    await join(one, other);
    expect(one.lot('a')).toMatchObject({ grams_on_hand: 0, out_of_stock: true });
    one.edit({ 'lot:a': { ...one.lot('a')!, grams_on_hand: 30 as never, out_of_stock: false } });
    await join(one, other);
    expect(other.lot('a')).toMatchObject({ grams_on_hand: 30, out_of_stock: false });
  });

  it('do not take unknown grams for none', async () => {
    const [one, other] = await two();
    const { grams_on_hand: _, ...unknown } = one.lot('a')!;
    one.edit({ 'lot:a': unknown });
    await join(one, other);
    expect(other.lot('a')).not.toHaveProperty('grams_on_hand');
    other.edit({ 'lot:a': { ...other.lot('a')!, grams_on_hand: 70 as never } });
    await join(one, other);
    expect(one.lot('a')!.grams_on_hand).toBe(70);
  });

  it('keep the tastings and ticks of both, and both fields of one brief', async () => {
    const [one, other] = await two();
    one.edit({ 'batch:x': batch('x'), 'design:d': { ...savedDesign(brief), id: 'd' } });
    await join(one, other);
    const tasting = (taster: string) => ({ taster, order: 1, scores: { citrus: 4 } });
    one.edit({ 'batch:x': batch('x', { tastings: [tasting('A')] as never, done: ['mash'] }) });
    other.edit({ 'batch:x': batch('x', { tastings: [tasting('B')] as never, done: ['boil'] }) });
    const name = { ...one.design('d')!, brief: { ...brief, name: 'Renamed' } };
    const size = { ...brief, batch: { ...brief.batch, beer_l: 33 as never } };
    one.edit({ 'design:d': name });
    other.edit({ 'design:d': { ...other.design('d')!, brief: size } });
    await join(one, other);
    expect(one.kept()).toEqual(other.kept());
    expect(one.batch('x')!.tastings).toHaveLength(2);
    expect(one.batch('x')!.done.toSorted()).toEqual(['boil', 'mash']);
    expect(one.design('d')!.brief).toMatchObject({ name: 'Renamed', batch: { beer_l: 33 } });
  });

  it('delete by a flag: what was edited meanwhile is there when it is taken back', async () => {
    const [one, other] = await two();
    const before = one.lot('a')!;
    one.edit({ 'lot:a': null });
    other.edit({ 'lot:a': citra({ note: 'top store' }) });
    await join(one, other);
    expect(one.lot('a') ?? other.lot('a')).toBeNull();
    one.edit({ 'lot:a': before });
    await join(one, other);
    expect(other.kept()).toEqual(one.kept());
    expect(other.lot('a')!.grams_on_hand).toBe(500);
  });

  it('leave the blend of a design to each device', async () => {
    const [one, other] = await two();
    const design = { ...savedDesign(brief), id: 'd' };
    one.edit({ 'design:d': { ...design, blend: PLANNED.additions as never } });
    await join(one, other);
    expect(other.design('d')).toEqual(design);
    other.edit({ 'design:d': { ...design, note: 'tap 3' } });
    await join(one, other);
    expect(one.design('d')).toMatchObject({ note: 'tap 3', blend: PLANNED.additions });
  });

  it('take nothing for a value that no page writes, and come to the same', async () => {
    const [one, other] = await two();
    const map = one.replica.wire.getMap<unknown>('lot:a');
    map.set('f:analysis', { alpha_pct: 12, beta_pct: undefined });
    map.set('f:price_per_kg', -0);
    map.set('f:note', new Y.Map());
    await join(one, other);
    for (const { replica } of [one, other])
      expect((await replica.step()).unreadable.get('lot:a')).toMatch(/^note: null is given/);
    map.set('f:note', 'cold');
    await join(one, other);
    const kept = { analysis: { alpha_pct: 12 }, note: 'cold', price_per_kg: 0 };
    for (const device of [one, other]) expect(device.lot('a')).toMatchObject(kept);
    expect(one.kept()).toStrictEqual(other.kept());
  });

  it('tell who changed a part', async () => {
    const [one, other] = await two();
    other.edit({ 'lot:a': citra({ note: 'cold' }) });
    await join(one, other);
    expect(one.replica.freezer.changedBy('lot:a')).toEqual({ name: 'cellar', at: 0 });
  });
});

describe('who comes with work of their own', () => {
  it('keeps it beside what the others have, and takes theirs for what nobody edited', async () => {
    const starter = new Map([
      ['lot:a', citra()],
      ['lot:b', lot('b', 'Saaz')],
    ]);
    const [one, other] = [new Device('kettle', starter), new Device('phone', starter)];
    one.edit({
      'lot:a': citra({ grams_on_hand: 200 as never }),
      'lot:b': lot('b', 'Saaz', { note: 'x' }),
    });
    other.edit({
      'lot:a': citra(),
      'lot:b': lot('b', 'Saaz', { note: 'y' }),
      'lot:c': lot('c', 'Galaxy'),
    });
    await join(one);
    await join(one, other);
    expect(one.kept()).toEqual(other.kept());
    const lots = Object.values(one.kept()) as SavedLot[];
    expect(lots.map(({ hop, note }) => hop + note).sort()).toEqual([
      'Citra',
      'Galaxy',
      'Saazx',
      'Saazy',
    ]);
    expect(other.lot('a')!.grams_on_hand).toBe(200);
  });
});

describe('what the line may bring', () => {
  it('is read like a record of another tab: what cannot be read is named and left alone', async () => {
    const [one, other] = await two();
    const foreign = new Y.Doc();
    Y.applyUpdate(foreign, Y.encodeStateAsUpdate(one.replica.wire));
    foreign.getMap('lot:a').set('f:form', 'dust');
    foreign.getMap('lot:b').set('f:__proto__', { polluted: true });
    foreign
      .getMap('batch:x')
      .set('f:drawn', [{ lot: 'a', grams: Infinity }, null, { lot: 'a', grams: -5 }]);
    foreign.getMap('constructor').set('f:x', 1);
    foreign.getArray('lot:list').push(['x']);
    foreign.getMap('lot:a').set('g:z', 'many');
    foreign.getMap('lot:a').set('by', { name: 7 });
    Y.applyUpdate(other.replica.wire, Y.encodeStateAsUpdate(foreign), 'line');
    const { unreadable } = await other.replica.step();
    expect(other.lot('a')).toEqual(citra());
    expect([...unreadable.keys()].sort()).toEqual(['batch:x', 'constructor', 'lot:a', 'lot:b']);
    expect(({} as { polluted?: boolean }).polluted).toBeUndefined();
    // It is mended by whoever edits it, and nothing else had to wait.
    other.edit({ 'lot:a': citra({ form: 'cone' }), 'lot:n': lot('n', 'Galaxy') });
    const after = await other.replica.step();
    expect(after.unreadable.has('lot:a')).toBe(false);
    await join(one, other);
    expect(one.lot('a')).toEqual(citra({ form: 'cone' }));
  });
});

/** One thing that happens to one of the devices. */
type Event =
  | {
      readonly kind: 'note' | 'price' | 'draw' | 'weigh';
      readonly device: number;
      readonly n: number;
    }
  | { readonly kind: 'remove' | 'kill' | 'full' | 'step'; readonly device: number }
  | { readonly kind: 'join'; readonly device: number; readonly other: number };

const device = fc.nat({ max: 3 });
const event: fc.Arbitrary<Event> = fc.oneof(
  {
    weight: 6,
    arbitrary: fc.record({
      kind: fc.constantFrom('note', 'price', 'draw', 'weigh'),
      device,
      n: fc.integer({ min: 1, max: 40 }),
    }),
  },
  {
    weight: 3,
    arbitrary: fc.record({ kind: fc.constantFrom('remove', 'kill', 'full', 'step'), device }),
  },
  {
    weight: 3,
    arbitrary: fc.record({ kind: fc.constant('join' as const), device, other: device }),
  },
);

describe('four devices', () => {
  it('end equal with every draw counted, whatever dies and whoever meets whom', async () => {
    const law = fc.asyncProperty(
      fc.array(event, { minLength: 5, maxLength: 30 }),
      async (events) => {
        const devices = [0, 1, 2, 3].map((i) => new Device(`d${i}`));
        devices[0]!.edit({
          'lot:a': citra({ grams_on_hand: 100_000 as never }),
          'lot:b': lot('b', 'Saaz'),
        });
        await join(...devices);
        let grams = 100_000;
        const batches = new Set<string>();
        for (const [i, e] of events.entries()) {
          const at = devices[e.device]!;
          const [a, b] = [at.lot('a')!, at.lot('b')];
          if (e.kind === 'note' && b) at.edit({ 'lot:b': { ...b, note: `${e.n}` } });
          else if (e.kind === 'price') at.edit({ 'lot:a': { ...a, price_per_kg: e.n as never } });
          else if (e.kind === 'weigh') {
            at.edit({ 'lot:a': { ...a, grams_on_hand: (a.grams_on_hand! - e.n) as never } });
            grams -= e.n;
          } else if (e.kind === 'draw') {
            draw(at, `b${i}`, e.n);
            batches.add(`b${i}`);
            grams -= e.n;
          } else if (e.kind === 'remove') at.edit({ 'lot:b': null });
          else if (e.kind === 'kill') at.kill();
          else if (e.kind === 'full') {
            at.store.failing = 1;
            await at.replica.step().catch(() => undefined);
          } else if (e.kind === 'step') await at.replica.step();
          else if (e.kind === 'join') await join(at, devices[e.other]!);
        }
        await join(...devices);
        const [first, ...others] = devices.map((d) => d.kept());
        for (const other of others) expect(other).toEqual(first);
        expect(devices[0]!.lot('a')!.grams_on_hand).toBe(grams);
        for (const id of batches) expect(first).toHaveProperty([`batch:${id}`]);
      },
    );
    await fc.assert(law, { numRuns: 10 });
  });
});
