// How lots are told apart and known by their names.
import { describe, expect, it } from 'vitest';
import { nameKey } from '#shared/name-key.ts';
import { findHop, lotOf } from '#engine/lot/composition.ts';
import { designOf } from '#engine/predict/design.ts';
import { model } from '#engine/tables/model.ts';
import { scheduleOf } from '../support/examples.ts';

describe('the key of a name', () => {
  it('folds case, accents and punctuation', () => {
    expect(nameKey(' Hallertauer  Mittelfrüh-2 ')).toBe('hallertauermittelfruh2');
    expect(nameKey('SAAZ')).toBe(nameKey('saaz.'));
  });

  it('tells names of any script apart', () => {
    const names = [
      'Жатецкий',
      'Подвязный',
      '信州早生',
      '金子',
      'शक्ति',
      'शक्त',
      'हि',
      'हा',
      '★',
      '★★',
    ];
    expect(new Set(names.map(nameKey)).size).toBe(names.length);
    expect(names.every((name) => nameKey(name) !== '')).toBe(true);
    expect(names.every((name) => findHop(model, name) === undefined)).toBe(true);
  });
});

it('two hops of another script stay two in a schedule', () => {
  const analysis = { alpha_pct: 5, total_oil_ml_per_100g: 1, linalool_pct_of_oil: 1 };
  const dry = { form: 'pellet_90', stage: 'dry_hop', grams: 20, analysis } as const;
  const design = designOf(
    model,
    scheduleOf([
      { ...dry, hop: 'Жатецкий' },
      { ...dry, hop: '信州早生' },
    ]),
  );
  expect(design.ok && design.value.additions.map((a) => a.lot.hop)).toEqual([
    'Жатецкий',
    '信州早生',
  ]);
});

describe('an unknown variety', () => {
  const named = (analysis: object) => lotOf(model, { hop: 'Nobody', form: 'cone', analysis });

  it('is taken with any figure a prediction reads', () => {
    for (const analysis of [
      { alpha_pct: 5 },
      { total_oil_ml_per_100g: 1 },
      { msp4_ug_per_kg: 3 },
      { g_sh3_mg_per_kg: 9 },
      { cys_sh3_mg_per_kg: 0.2 },
    ]) {
      expect(named(analysis).ok, JSON.stringify(analysis)).toBe(true);
    }
  });

  it('is refused where there is nothing to predict from', () => {
    for (const analysis of [{}, { precursor: 'high' }, { beta_pct: 4 }]) {
      const lot = named(analysis);
      expect(lot.ok ? '' : lot.problems[0]!.path, JSON.stringify(analysis)).toBe('hop');
    }
    const shares = named({ linalool_pct_of_oil: 1 });
    expect(shares.ok ? '' : shares.problems[0]!.path).toBe('analysis');
  });
});
