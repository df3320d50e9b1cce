// Stock lists of the command line: the stock as the page writes it out gives the lots the page would
// take, as old as they are on that day.
import { writeFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { csvText } from '#shared/lists/csv.ts';
import { rowsOf, type ListedLot } from '#shared/lists/lot-list.ts';
import { agedCandidate } from '#engine/lot/lot-storage.ts';
import { model } from '#engine/tables/model.ts';
import { STANDARD_INPUT } from '../../src/cli/input.ts';
import { readStock } from '../../src/cli/stock.ts';
import { fileWith } from './run.ts';

const TODAY = '2026-03-15';
const lot = (hop: string, more: Partial<ListedLot>): ListedLot => ({
  hop,
  form: 'pellet_90',
  note: '',
  out_of_stock: false,
  ...more,
});
const LOTS = [
  lot('Cascade', { harvest_year: 2024, storage_temp_c: 4, pack: 'vacuum', grams_on_hand: 500 }),
  lot('Citra', {
    harvest_year: 2024,
    storage_temp_c: -18,
    pack: 'inert_gas',
    opened_on: '2026-01-15',
    price_per_kg: 38.5,
    note: 'the "good" one,\nwith a tear',
    analysis: { alpha_pct: 12.5, precursor: 'high' },
  }),
  lot('Saaz', { form: 'cone', storage_index: 0.35 }),
  lot('Magnum', { harvest_year: 2025, package_g: 100, storage_temp_c: 4 }),
  lot('Perle', { harvest_year: 2023, pack: 'open', storage_temp_c: 20, out_of_stock: true }),
];
const read = (text: string, today = TODAY) => {
  const outcome = readStock(fileWith(text, 'stock.csv'), model, today, { input: STANDARD_INPUT });
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return outcome.value.candidates;
};

it('a stock written out is read as the page takes it, without what is used up', () => {
  const lots = read(csvText(rowsOf(LOTS)));
  expect(lots).toEqual(LOTS.slice(0, -1).map((one) => agedCandidate(model, one, TODAY)));
  // A month is 365.25/12 days: from 15 September 2024 to 15 March 2026 are 546 days.
  expect(lots[0]!.storage).toEqual({
    months: 546 / (365.25 / 12),
    temp_c: 4,
    packed: 'sealed',
  });
  expect(lots[1]!.storage).toMatchObject({ temp_c: -18, packed: 'opened' });
  expect(lots[3]!.storage).toBeUndefined();
});

it('a lot is older on a later day', () => {
  const text = csvText(rowsOf(LOTS));
  const months = ['2026-03-15', '2026-09-15'].map((day) => read(text, day)[0]!.storage!.months!);
  expect(months[1]! - months[0]!).toBeCloseTo(6, 0);
});

it('months that are given do not depend on the day', () => {
  const text = 'hop,form,storage_months,storage_temp_c,packed,note\nCitra,cone,14,4,sealed,top\n';
  const storage = { months: 14, temp_c: 4, packed: 'sealed' };
  for (const day of ['2026-03-15', '2030-01-01']) {
    expect(read(text, day)).toEqual([{ hop: 'Citra', form: 'cone', storage }]);
  }
});

it('a list as people export it is read, and what it does not say is noted', () => {
  const text = 'Hopfen;Menge;Alpha %;Regal\nPerle;1,5 kg;7,2;oben\nCitraa Dolden;250 g;12,5;oben\n';
  const outcome = readStock(fileWith(text, 'stock.csv'), model, TODAY, { input: STANDARD_INPUT });
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  expect(outcome.value.candidates).toEqual([
    { hop: 'Perle', form: 'pellet_90', grams_on_hand: 1500, analysis: { alpha_pct: 7.2 } },
    { hop: 'Citraa Dolden', form: 'cone', grams_on_hand: 250, analysis: { alpha_pct: 12.5 } },
  ]);
  expect(outcome.value.notes).toEqual([
    'Columns left out: Regal.',
    'No column is the form: lots count as type 90 pellet unless their name says otherwise.',
    'Not in the hop table, known by their own analysis alone: line 3, Citraa Dolden (write Citra if that is meant).',
  ]);
});

it('a list in an encoding of its region is read', () => {
  const file = fileWith('', 'stock.csv');
  // "Žatecký poloraný červeňák" in Windows-1250.
  const bytes = Buffer.from(
    'Odr\xf9da;Mno\x9estv\xed\n\x8eateck\xfd poloran\xfd \xe8erve\xf2\xe1k;2 kg\n',
    'latin1',
  );
  writeFileSync(file, bytes);
  const outcome = readStock(file, model, TODAY, { input: STANDARD_INPUT });
  expect(outcome.ok && outcome.value.candidates).toEqual([
    { hop: 'Saaz', form: 'pellet_90', grams_on_hand: 2000 },
  ]);
});
