// What a blend's figures rest on, counted against the table itself.
import { describe, expect, it } from 'vitest';
import { STATUSES } from '#shared/ids.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import { findHop } from '#engine/lot/composition.ts';
import { model } from '#engine/tables/model.ts';
import { evidenceOf } from '#engine/evidence/evidence.ts';

const addition = (more: Partial<Addition>): Addition => ({
  hop: 'Cascade',
  form: 'pellet_90',
  stage: 'dry_hop',
  grams: 10,
  ...more,
});
const total = (statuses: Readonly<Record<string, number>>) =>
  STATUSES.reduce((sum, s) => sum + statuses[s]!, 0);

describe('evidence', () => {
  const cells = Object.values(findHop(model, 'Cascade')!.cells);

  it('counts every figure of a lot once, at however many stages it is used', () => {
    const once = evidenceOf(model, [addition({})]);
    expect(total(once.statuses)).toBe(cells.length);
    for (const status of STATUSES) {
      expect(once.statuses[status]).toBe(cells.filter((c) => c.status === status).length);
    }
    const twice = evidenceOf(model, [addition({}), addition({ stage: 'mash' })]);
    expect(twice).toEqual(once);
  });

  it('counts an own figure as own, no longer as the table has it', () => {
    const own = evidenceOf(model, [addition({ analysis: { alpha_pct: 7 } })]);
    expect(own.statuses.analysis).toBe(1);
    expect(own.weak.flatMap((w) => w.figures).map((f) => f.analyte)).not.toContain('alpha_pct');
  });

  it('lists weak figures per hop, each once over its forms', () => {
    const { weak } = evidenceOf(model, [addition({}), addition({ form: 'cone' })]);
    expect(weak).toHaveLength(1);
    const analytes = weak[0]!.figures.map((f) => f.analyte);
    expect(new Set(analytes).size).toBe(analytes.length);
    const expected = cells.filter((c) => c.status === 'memory' || c.status === 'estimated');
    expect(analytes).toHaveLength(expected.length);
  });

  it('ignores what is not used', () => {
    const unused = addition({ hop: 'Saaz', grams: 0 });
    expect(evidenceOf(model, [addition({}), unused])).toEqual(evidenceOf(model, [addition({})]));
  });

  it('says what is not known of a hop given by its analysis alone', () => {
    const own = addition({ hop: 'Ours', analysis: { alpha_pct: 8 } });
    const { unknown } = evidenceOf(model, [own]);
    expect(unknown[0]?.hop).toBe('Ours');
    expect(unknown[0]?.figures).toContain('linalool_pct_of_oil');
    expect(unknown[0]?.figures).not.toContain('alpha_pct');
  });
});
