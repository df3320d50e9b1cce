// Laws of editing additions by hand, the steps back over such edits, and documents from before them.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { FORMS } from '#shared/ids.ts';
import { STAGE_KINDS } from '#shared/stages/kinds.ts';
import { briefSchema } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import { savedDesignSchema, type OwnAddition } from '#shared/schemas/workspace.ts';
import {
  additionsOf,
  changesBetween,
  keptOf,
  ownOf,
  weighedOut,
  replanned,
  withAdded,
  withGrams,
  withLock,
  without,
  withStage,
} from '#state/documents/by-hand.ts';
import { lotFor, withForm } from '#state/documents/lot-choice.ts';
import { openDesign, savedDesign, workspaceOf } from '#state/documents/documents.ts';
import { Workspace } from '#state/workspace/workspace.svelte.ts';

const demo = briefSchema.parse(SEED_BRIEFS[0]!.brief);

const addition: fc.Arbitrary<Addition> = fc.record(
  {
    hop: fc.constantFrom('Citra', 'Cascade', 'Saaz'),
    form: fc.constantFrom(...FORMS),
    stage: fc.constantFrom(...STAGE_KINDS),
    grams: fc.integer({ min: 1, max: 500 }),
    price_per_kg: fc.integer({ min: 1, max: 90 }),
  },
  { requiredKeys: ['hop', 'form', 'stage', 'grams'] },
);
const own: fc.Arbitrary<OwnAddition[]> = fc.array(
  fc.tuple(addition, fc.boolean()).map(([a, locked]) => ({ ...a, locked })),
  { minLength: 1, maxLength: 8 },
);
const ownAndPlace = own.chain((list) =>
  fc.tuple(fc.constant(list), fc.nat({ max: list.length - 1 })),
);

describe('edits of additions', () => {
  it('to another stage and back are none', () => {
    fc.assert(
      fc.property(ownAndPlace, fc.constantFrom(...STAGE_KINDS), ([list, at], stage) => {
        const moved = withStage(list, at, stage);
        expect(moved[at]!.stage).toBe(stage);
        expect(withStage(moved, at, list[at]!.stage)).toEqual(list);
      }),
    );
  });

  it('touch one row and leave the others the same objects', () => {
    fc.assert(
      fc.property(ownAndPlace, fc.nat({ max: 900 }), ([list, at], grams) => {
        for (const after of [
          withGrams(list, at, grams),
          withLock(list, at, !list[at]!.locked),
          withForm(list, at, 'cone', demo),
        ]) {
          expect(after).toHaveLength(list.length);
          after.forEach((row, i) => {
            if (i !== at) expect(row).toBe(list[i]);
          });
        }
        expect(withGrams(list, at, grams)[at]!.grams).toBe(grams);
      }),
    );
  });

  it('that add a row and remove it again are none', () => {
    fc.assert(
      fc.property(own, addition, (list, extra) => {
        expect(without(withAdded(list, extra), list.length)).toEqual(list);
      }),
    );
  });

  it('take price and analysis of the lot of that form, and none of another', () => {
    const candidates = [
      { hop: 'Citra', form: 'pellet_90' as const, price_per_kg: 40 },
      { hop: 'Citra', form: 'cone' as const, price_per_kg: 25 },
    ];
    const list = [
      {
        hop: 'Citra',
        form: 'pellet_90',
        stage: 'dry_hop',
        grams: 20,
        price_per_kg: 40,
        locked: true,
      },
    ] as const;
    const [cone] = withForm(list, 0, 'cone', { candidates });
    expect(cone).toEqual({ ...list[0], form: 'cone', price_per_kg: 25 });
    const [enriched] = withForm(list, 0, 'pellet_enriched', { candidates });
    expect(enriched!.price_per_kg).toBeUndefined();
    expect(lotFor(candidates, 'citra')).toBe(candidates[0]);
    expect(lotFor('table', 'Saaz')).toEqual({ hop: 'Saaz', form: 'pellet_90' });
  });
});

describe('locks', () => {
  it('survive a re-plan to the gram, whatever comes with them and in whatever order', () => {
    fc.assert(
      fc.property(own, fc.array(addition, { maxLength: 5 }), (list, chosen) => {
        const kept = keptOf(list);
        const after = replanned(list, [...chosen, ...kept].reverse());
        const text = (additions: readonly Addition[]) =>
          additions.map((a) => JSON.stringify(a)).sort();
        expect(text(keptOf(after))).toEqual(text(kept));
        expect(after).toHaveLength(chosen.length + kept.length);
      }),
    );
  });

  it('stand on what the brief keeps when a designed blend is edited', () => {
    const keep: Addition[] = [{ hop: 'Saaz', form: 'cone', stage: 'mash', grams: 30 }];
    const free: Addition = { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 50 };
    const rows = ownOf([...keep, free], { ...demo, keep });
    expect(rows.map((a) => a.locked)).toEqual([true, false]);
    expect(additionsOf(rows)).toEqual([...keep, free]);
  });
});

describe('changes between blends', () => {
  it('are none from a blend to itself in any order, and add up otherwise', () => {
    fc.assert(
      fc.property(own, own, (before, after) => {
        expect(changesBetween(before, [...before].reverse())).toEqual([]);
        const sum = (list: readonly Addition[]) => list.reduce((total, a) => total + a.grams, 0);
        const by = changesBetween(before, after).reduce((total, c) => total + c.to - c.from, 0);
        expect(by).toBeCloseTo(sum(after) - sum(before), 6);
      }),
    );
  });
});

describe('in the workspace', () => {
  const rows: OwnAddition[] = [
    { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 50, locked: true },
    { hop: 'Saaz', form: 'cone', stage: 'mash', grams: 30, locked: false },
  ];

  it('removing and one step back is the identity; one visit of a field is one step', () => {
    const workspace = new Workspace(workspaceOf([savedDesign(demo, { own: rows })]));
    expect(workspace.editOwn('remove Saaz', without(rows, 1))).toBeNull();
    expect(workspace.open.own).toEqual(rows.slice(0, 1));
    expect(workspace.undoName).toBe('remove Saaz');
    workspace.undo();
    expect(workspace.open.own).toEqual(rows);
    for (const grams of [51, 52, 53])
      workspace.editOwn(`${grams} g`, withGrams(workspace.open.own!, 0, grams), 'grams 0 1');
    expect(workspace.open.own![0]!.grams).toBe(53);
    workspace.undo();
    expect(workspace.open.own).toEqual(rows);
    workspace.editOwn('back to the proven blend', null);
    expect(workspace.open.own).toBeUndefined();
    workspace.undo();
    expect(workspace.open.own).toEqual(rows);
  });

  it('a figure the schema refuses changes nothing', () => {
    const workspace = new Workspace(workspaceOf([savedDesign(demo, { own: rows })]));
    expect(workspace.editOwn('−5 g', withGrams(rows, 0, -5))).toContain('weight in g');
    expect(workspace.open.own).toEqual(rows);
    expect(workspace.undoName).toBeNull();
  });

  it('own additions outlive an edit of the brief', () => {
    const workspace = new Workspace(workspaceOf([savedDesign(demo, { own: rows })]));
    workspace.editBrief('rename', (brief) => ({ ...brief, name: 'Another' }));
    expect(workspace.open.own).toEqual(rows);
  });

  it('documents from before still read, and a lock nobody wrote is open', () => {
    const { own: _, ...before } = openDesign(workspaceOf([savedDesign(demo)]));
    expect(savedDesignSchema.parse(before).own).toBeUndefined();
    const { locked: __, ...open } = rows[0]!;
    expect(savedDesignSchema.parse({ ...before, own: [open] }).own![0]!.locked).toBe(false);
  });
});

describe('the lot of several', () => {
  const lot = (grams_on_hand: number, harvest_year: number) =>
    ({ hop: 'Saaz', form: 'pellet_90', grams_on_hand, harvest_year }) as const;

  it('is the oldest that holds the grams, else the one that holds most', () => {
    const lots = [lot(50, 2026), lot(30, 2024), lot(80, 2025)];
    expect(lotFor(lots, 'saaz', 'pellet_90', 20)).toBe(lots[1]);
    expect(lotFor(lots, 'Saaz', 'pellet_90', 40)).toBe(lots[2]);
    expect(lotFor(lots, 'Saaz', 'pellet_90', 200)).toBe(lots[2]);
    expect(lotFor(lots, 'Saaz', 'cone', 20)).toEqual({ hop: 'Saaz', form: 'cone' });
  });
});

describe('grams typed by hand', () => {
  it('come in whole weighing steps, one at least', () => {
    expect(weighedOut(37.3, 1)).toBe(37);
    expect(weighedOut(38, 5)).toBe(40);
    expect(weighedOut(0.2, 5)).toBe(5);
    expect(weighedOut(10, 7.0874)).toBe(7.0874);
    expect(weighedOut(0, 5)).toBe(0);
    expect(weighedOut(37.3, undefined)).toBe(37.3);
  });
});
