// The shown blend as a schedule with a hop to replace, and what is said of a replacement.
import { describe, expect, it } from 'vitest';
import { AXES, type AxisId } from '#shared/ids.ts';
import type { AxisChange, Saving } from '#shared/answers/comparison.ts';
import type { Blend } from '#shared/answers/answer.ts';
import { saveSchema, swapSchema, type Save } from '#shared/schemas/asked.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Workbench } from '#state/workbench/workbench.svelte.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { signed } from '#wording/format.ts';
import {
  bitternessChange,
  changeWords,
  largestChange,
  liftUsual,
  saveOf,
  savedWords,
  sourcesOf,
  swapOf,
  usualAtStages,
} from '#ui/edits/swaps.ts';

const demo: Brief = SEED_BRIEFS[0]!.brief;
const additions = [{ hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 40 }] as const;
const blend = { additions, totals: { ibu: 28 } } as unknown as Blend;
const changes = (by: Partial<Record<AxisId, number>>) =>
  Object.fromEntries(
    AXES.map((axis) => {
      const change = by[axis] ?? 0;
      return [axis, { from: 2, to: 2 + change, change, noticeable: change !== 0 }];
    }),
  ) as Record<AxisId, AxisChange>;

describe('a swap', () => {
  it('keeps the brief and its limits, requires nothing, and lets no lot of the hop come back', () => {
    const brief = { ...demo, limits: { ...demo.limits, require: ['Citra'], ban: ['Saaz'] } };
    const swap = swapOf(brief, blend, 'Citra');
    expect(swapSchema.parse(swap)).toEqual(swap);
    expect(swap).toMatchObject({
      batch: brief.batch,
      stages: brief.stages,
      additions,
      replace: 'Citra',
      limits: { require: [], ban: ['Saaz', 'Citra'], weigh_step_g: 1, smallest_addition_g: 5 },
    });
  });

  it('keeps the bitterness as it was, and within the limits where they are nearer', () => {
    // The brief's 15 to 40 IBU are wider than what nobody notices of 28, nearer at 39.
    expect(swapOf(demo, blend, 'Citra').limits).not.toHaveProperty('ibu_at_most');
    const bitter = { ...blend, totals: { ...blend.totals, ibu: 39 } };
    expect(swapOf(demo, bitter, 'Citra').limits.ibu_at_most).toBe(40);
  });

  it('takes from the lots of the brief, else from the stock, else from the table', () => {
    const lot = { id: 'a', form: 'pellet_90', note: '', out_of_stock: false } as const;
    const mosaic = { ...lot, hop: 'Mosaic' };
    const table = { candidates: 'table' } as const;
    expect(sourcesOf(table, [], 'Citra')).toEqual(['table']);
    expect(sourcesOf(table, [mosaic], 'Citra')).toEqual(['stock', 'table']);
    expect(sourcesOf(table, [mosaic], 'mosaic')).toEqual(['table']);
    expect(sourcesOf(table, [{ ...mosaic, out_of_stock: true }], 'Citra')).toEqual(['table']);
    const listed = { candidates: [{ hop: 'Saaz', form: 'pellet_90' as const }] };
    expect(sourcesOf(listed, [mosaic], 'Citra')).toEqual(['brief', 'stock', 'table']);
  });

  it('flags the bitterness beyond 10 % or 2 IBU, in words', () => {
    const change = (from: number, to: number) =>
      bitternessChange({ totals: { ibu: to } as never }, { totals: { ibu: from } as never });
    expect(change(31, 24)).toBe('from 31 to 24\u00a0IBU');
    expect(change(31, 28)).toBeNull();
    expect(change(5, 6.9)).toBeNull();
    expect(change(5, 7.6)).toBe('from 5 to 8\u00a0IBU');
  });

  it('bans no name that nobody offers', () => {
    const candidates = [{ hop: 'Saaz', form: 'pellet_90' as const }];
    const swap = swapOf({ ...demo, candidates }, blend, 'Own hop');
    expect(swap.limits.ban).toEqual(demo.limits.ban);
  });
});

describe('a change', () => {
  it('is named by the axis that changes most, either way', () => {
    const moved = changes({ citrus: 0.3, resin: -0.46 });
    expect(largestChange(moved).axis).toBe('resin');
    expect(changeWords({ changes: moved })).toBe('resin changes most: 0.5 lower');
    const unnoticed = Object.fromEntries(
      AXES.map((axis) => [axis, { ...moved[axis], noticeable: false }]),
    ) as typeof moved;
    expect(changeWords({ changes: unnoticed })).toBe('no note changes noticeably; resin 0.5 lower');
    expect(changeWords({ changes: changes({}) })).toBe('no note changes');
  });

  it('carries its sign, and none where it is nothing', () => {
    const grams = (g: number) => `${g.toFixed(0)} g`;
    expect(signed(12, grams)).toBe('+12 g');
    expect(signed(-3, grams)).toBe('−3 g');
    expect(signed(-0.2, grams)).toBe('± 0 g');
  });
});

describe('a saving', () => {
  const saving = (cost: number | null, hop_g: number, beer_lost_l: number, minimised = 'cost') =>
    ({ minimised, totals_change: { cost, hop_g, beer_lost_l } }) as Saving;

  it('is asked for with the bitterness left to be kept like the aroma', () => {
    const of = (ibu: number) => saveOf(demo, { ...blend, totals: { ...blend.totals, ibu } });
    const save = of(25);
    expect(saveSchema.parse(save)).toEqual(save);
    expect(save.limits).not.toHaveProperty('ibu_at_most');
    expect(save.limits).not.toHaveProperty('ibu_at_least');
    expect(save.limits.weigh_step_g).toBe(demo.limits.weigh_step_g);
    // The brief's 15 to 40 IBU hold where they are nearer than what nobody notices.
    expect(of(16).limits).toMatchObject({ ibu_at_least: 15 });
    expect(of(16).limits).not.toHaveProperty('ibu_at_most');
    expect(of(39).limits).toMatchObject({ ibu_at_most: 40 });
    // A blend by hand that misses them is kept near itself.
    expect(of(14).limits).not.toHaveProperty('ibu_at_least');
  });

  it('leaves forms and doses to what is usual where nothing is said, and lifts both', () => {
    const save = saveOf(demo, blend);
    expect(Object.keys(save.stages)).toContain('mash');
    expect(usualAtStages(save)).toBe('kept');
    const lifted = { stage_forms: {}, stage_at_most_g_per_l: {} };
    expect(usualAtStages({ ...save, limits: { ...save.limits, ...lifted } })).toBe('lifted');
    // What is stated stays as it is.
    const stated = { stage_forms: { mash: ['cone' as const] }, stage_at_most_g_per_l: { mash: 3 } };
    expect(usualAtStages({ ...save, limits: { ...save.limits, ...stated } })).toBe(null);
    const { dry_hop } = save.stages;
    expect(usualAtStages({ ...save, stages: { dry_hop: dry_hop! } })).toBe(null);

    const asked: Save[] = [];
    const ask = (question: Save) => asked.push(question);
    const limits = { ...save.limits, stage_forms: stated.stage_forms };
    const lift = (of: Save, any: boolean) =>
      liftUsual({ inquiries: { save: { question: of, ask } } } as unknown as Workbench, any);
    lift({ ...save, limits }, true);
    expect(asked[0]!.limits).toEqual({ ...limits, stage_at_most_g_per_l: {} });
    lift(asked[0]!, false);
    expect(asked[1]!.limits).toEqual(limits);
  });

  it('tells what it saves, what is minimised first, and what it takes more', () => {
    expect(savedWords(saving(-1.2, -12, -0.2), 'metric')).toBe(
      'saves 1.20, 12\u00a0g of hops and 0.2\u00a0L of beer',
    );
    expect(savedWords(saving(-1.2, -12, 0, 'weight'), 'metric')).toBe(
      'saves 12\u00a0g of hops and 1.20',
    );
    expect(savedWords(saving(-1.2, 30, 0.4), 'metric')).toBe(
      'saves 1.20; takes 30\u00a0g of hops and 0.4\u00a0L of beer more',
    );
    expect(savedWords(saving(null, -12, 0, 'weight'), 'metric')).toBe('saves 12\u00a0g of hops');
  });
});
