// Files coming into a workspace: nothing of one's own is lost, nothing is doubled.
import { describe, expect, it } from 'vitest';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { savedBatchSchema, type SavedBatch } from '#shared/schemas/batch.ts';
import { NO_SINGLES, type SavedDesign, type SavedLot } from '#shared/schemas/workspace.ts';
import { merged, replaced } from '#state/documents/arrivals.ts';
import { savedDesign, scheduleFor, titleOf, workspaceOf } from '#state/documents/documents.ts';

const [first, second] = SEED_BRIEFS.map(({ brief }) => savedDesign(brief)) as [
  SavedDesign,
  SavedDesign,
];
const lot: SavedLot = { id: 'a', hop: 'Citra', form: 'cone', note: '', out_of_stock: false };
const mine = workspaceOf([first], [lot]);
const usual = scheduleFor(first.brief, [
  { hop: 'Citra', form: 'cone', stage: 'dry_hop', grams: 10 },
]);
const incoming = (designs: SavedDesign[], lots: SavedLot[] = [], batches: SavedBatch[] = []) => ({
  designs,
  lots,
  batches,
  ...NO_SINGLES,
  open: null,
});

describe('added', () => {
  it('what is here already stays once', () => {
    const { document, designs, lots } = merged(mine, incoming([first], [{ ...lot, id: 'z' }]));
    expect(document).toEqual(mine);
    expect(designs).toEqual({ fresh: 0, same: 1 });
    expect(lots).toEqual({ fresh: 0, same: 1 });
  });

  it('what differs under the same id comes in as a copy with a name of its own', () => {
    const theirs = { ...first, brief: { ...first.brief, minimise: 'leaf' as const } };
    const { document } = merged(mine, incoming([theirs, second], [{ ...lot, grams_on_hand: 5 }]));
    expect(document.designs[0]).toBe(first);
    expect(document.designs[1]).toMatchObject({ brief: { minimise: 'leaf' } });
    expect(new Set(document.designs.map(({ id }) => id)).size).toBe(3);
    expect(new Set(document.designs.map(titleOf)).size).toBe(3);
    expect(document.open).toBe(document.designs[1]!.id);
    expect(document.lots).toHaveLength(2);
    expect(document.lots[0]).toBe(lot);
  });

  it('of lots alike each finds its own, and a file taken twice brings nothing', () => {
    const three = ['x', 'y', 'z'].map((id) => ({ ...lot, id }));
    const once = merged(mine, incoming([first], three));
    expect(once.lots).toEqual({ fresh: 2, same: 1 });
    expect(once.document.lots).toHaveLength(3);
    const twice = merged(once.document, incoming([first], three));
    expect(twice.lots).toEqual({ fresh: 0, same: 3 });
    expect(twice.document).toEqual(once.document);
  });

  it('fields in another order are the same', () => {
    const turned = Object.fromEntries(Object.entries(lot).reverse()) as unknown as SavedLot;
    expect(merged(mine, incoming([], [turned])).lots).toEqual({ fresh: 0, same: 1 });
  });

  it('each design and lot is looked at a few times, however many there are', () => {
    const asked = { lots: 0, designs: 0 };
    const counting = <T extends object>(all: readonly T[], kind: keyof typeof asked) =>
      all.map((one) => ({
        ...one,
        get note() {
          asked[kind] += 1;
          return '';
        },
      }));
    const lots = (from: number) =>
      Array.from({ length: 5000 }, (_, i) => ({
        ...lot,
        id: `l${from + i}`,
        grams_on_hand: from + i,
      }));
    const designs = (from: number) =>
      Array.from({ length: 500 }, (_, i) => {
        return { ...first, id: `d${from + i}`, brief: { ...first.brief, name: `D ${from + i}` } };
      });
    const here = {
      ...mine,
      designs: counting(designs(0), 'designs'),
      lots: counting(lots(0), 'lots'),
    };
    const came = incoming(counting(designs(250), 'designs'), counting(lots(2500), 'lots'));
    asked.lots = asked.designs = 0;
    const arrival = merged(here, came);
    expect(arrival.designs).toEqual({ fresh: 250, same: 250 });
    expect(arrival.lots).toEqual({ fresh: 2500, same: 2500 });
    expect(asked.lots).toBeLessThanOrEqual(4 * 10_000);
    expect(asked.designs).toBeLessThanOrEqual(4 * 1000);
  });

  it('a season points at its designs as they are called here, and one that is here stays', () => {
    const season = (...ids: string[]) => ({
      minimise: 'cost' as const,
      buys_any: false,
      brews: ids.map((design) => ({ design, on: '2027-01-09' })),
    });
    const came = incoming([{ ...first, id: 'theirs' }, second]);
    const { document } = merged(mine, { ...came, season: season('theirs', second.id) });
    expect(document.season).toEqual(season(first.id, second.id));
    expect(merged(document, { ...came, season: season('theirs') }).document.season).toEqual(
      document.season,
    );
    expect(replaced(document, { ...came, season: season('theirs') }).season).toEqual(
      season('theirs'),
    );
    expect(replaced(document, came)).not.toHaveProperty('season');
  });

  it('names as long as names may be stay as long when they are told apart', () => {
    const long = { ...first, brief: { ...first.brief, name: 'x'.repeat(200) } };
    const theirs = { ...long, id: 'b', brief: { ...long.brief, minimise: 'leaf' as const } };
    const { document } = merged(workspaceOf([long]), incoming([theirs, { ...theirs, note: '2' }]));
    const names = document.designs.map(titleOf);
    expect(new Set(names).size).toBe(3);
    expect(Math.max(...names.map((name) => name.length))).toBe(200);
  });

  it('a batch comes in once, and points at its design and lots as they are called here', () => {
    const batch = savedBatchSchema.parse({
      id: 'brew',
      name: 'First',
      design: 'theirs',
      planned: usual,
      brewed: usual,
      drawn: [{ lot: 'a', grams: 10 }],
    });
    const design = { ...first, id: 'theirs' };
    const other = { ...lot, grams_on_hand: 5 };
    const { document, batches } = merged(mine, incoming([design], [other], [batch]));
    expect(batches).toEqual({ fresh: 1, same: 0 });
    const copy = document.lots[1]!.id;
    expect(copy).not.toBe('a');
    expect(document.batches).toEqual([
      { ...batch, design: first.id, drawn: [{ lot: copy, grams: 10 }] },
    ]);
    // From where they are called as here.
    const again = merged(document, incoming([first], document.lots, document.batches));
    expect(again.batches).toEqual({ fresh: 0, same: 1 });
    const changed = { ...document.batches[0]!, note: 'split' };
    const both = merged(document, incoming([first], document.lots, [changed])).document.batches;
    expect(both.map(({ note }) => note)).toEqual(['', 'split']);
    expect(new Set(both.map(({ id }) => id)).size).toBe(2);
  });

  it('a usual schedule comes in where there is none, and never in place of one', () => {
    const theirs = { ...incoming([]), usual };
    expect(merged(mine, theirs).document.usual).toEqual(usual);
    const kept = { ...mine, usual: { ...usual, name: 'Mine' } };
    expect(merged(kept, theirs).document).toEqual(kept);
  });
});

describe('in place of what is here', () => {
  it('only the file remains, its open design open', () => {
    const file = { ...incoming([first, second]), open: second.id };
    expect(replaced(mine, file)).toEqual({ ...workspaceOf([first, second]), open: second.id });
  });

  it('a file without a design changes nothing', () => {
    expect(replaced(mine, incoming([], [lot]))).toBe(mine);
  });
});
