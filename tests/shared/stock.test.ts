// How a stock list tells the way a lot was kept, and what is said of one that tells half of it.
import { describe, expect, it } from 'vitest';
import { stockIn } from '#shared/lists/stock.ts';

const list = (...lines: string[]) => lines.join('\n');
const header =
  'hop,form,storage_months,storage_temp_c,packed,storage_index,months_since_analysis,alpha_pct';

describe('storage in a stock list', () => {
  it('is read into one field, empty cells left out', () => {
    const outcome = stockIn(
      list(
        header,
        'Citra,pellet_90,14,4,sealed,,,',
        'Saaz,cone,,,,0.35,,3.1',
        'Magnum,cone,,,,,,13',
      ),
    );
    if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
    expect(outcome.value.lots.map(({ lot }) => lot.storage)).toEqual([
      { months: 14, temp_c: 4, packed: 'sealed' },
      { storage_index: 0.35 },
      undefined,
    ]);
    expect(outcome.value.lots[1]!.lot.analysis).toEqual({ alpha_pct: 3.1 });
  });

  it('that cannot be computed is refused with its line', () => {
    const outcome = stockIn(list(header, 'Citra,pellet_90,14,,,,,', 'Saaz,cone,3,4,wrapped,,,'));
    expect(outcome.ok).toBe(false);
    if (outcome.ok) return;
    expect(outcome.problems.map(({ path }) => path.split(',')[0])).toEqual(['line 2', 'line 3']);
    expect(outcome.problems[0]!.cure).toContain('temp_c');
    expect(outcome.problems[1]!.cure).toContain('sealed');
  });
});

it('asks what 1.500 means where cells are not parted by commas', () => {
  const asked = list('hop;form;grams_on_hand;alpha_pct', 'Saaz;cone;20;', 'Citra;cone;1.500;');
  const outcome = stockIn(asked);
  expect(outcome).toEqual({
    ok: false,
    problems: [
      {
        path: 'line 3, grams_on_hand',
        message: '1.500 may be 1.5 or 1500',
        cure: 'Write figures with a decimal point, without needless zeros and without a mark between thousands',
      },
    ],
  });
  expect(stockIn(asked.replaceAll(';', ',')).ok).toBe(true);
  const shown = list('hop;form;grams_on_hand;alpha_pct', 'Citra;cone;1.500;12.5');
  expect(stockIn(shown)).toMatchObject({
    ok: true,
    value: { lots: [{ lot: { grams_on_hand: 1.5 } }] },
  });
});

it('keeps the blanks of a note, and takes minus nothing for nothing', () => {
  const outcome = stockIn(list('hop,form,grams_on_hand,note', 'Citra,cone,-0,  two  bags '));
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  expect(outcome.value.lots[0]!.lot.note).toBe('  two  bags ');
  expect(outcome.value.lots[0]!.lot.grams_on_hand).toBe(0);
});

it('takes a figure for one only as people write it', () => {
  const outcome = stockIn(
    list(
      'hop,form,grams_on_hand,alpha_pct',
      'Citra,cone,1.5e2,12.',
      'Saaz,cone,0x10,3',
      'Magnum,cone,5,0b11',
    ),
  );
  expect(outcome.ok ? [] : outcome.problems.map(({ path }) => path)).toEqual([
    'line 3, grams_on_hand',
    'line 4, alpha_pct',
  ]);
});
