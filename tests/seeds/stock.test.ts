// The invented stock list: it is read without a fault and holds what the starter workspace promises.
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { findHop, lotOf } from '#engine/lot/composition.ts';
import { model } from '#engine/tables/model.ts';
import { stockIn } from '#shared/lists/stock.ts';

const text = readFileSync(new URL('../../seeds/stock.csv', import.meta.url), 'utf8');
const read = stockIn(text);
const lots = read.ok ? read.value.lots.map(({ lot }) => lot) : [];

describe('stock.csv', () => {
  it('is read without a fault', () => {
    expect(read.ok ? [] : read.problems).toEqual([]);
    expect(lots.length).toBeGreaterThanOrEqual(25);
  });

  it('names real varieties only, in forms they come in', () => {
    for (const { hop, form } of lots) {
      expect(findHop(model, hop)?.name).toBe(hop);
      expect(findHop(model, hop)?.forms).toContain(form);
    }
  });

  it('has enriched lots, lots with an analysis of their own, and remainders', () => {
    expect(lots.filter((l) => l.form === 'pellet_enriched').length).toBeGreaterThanOrEqual(4);
    expect(lots.filter((l) => l.analysis).length).toBeGreaterThanOrEqual(4);
    expect(lots.filter((l) => l.grams_on_hand! < 100).length).toBeGreaterThanOrEqual(3);
    for (const lot of lots) {
      expect(lot.price_per_kg).toBeGreaterThan(0);
      expect(lot.harvest_year).toBeGreaterThanOrEqual(2023);
      expect(lotOf(model, lot).ok).toBe(true);
    }
  });

  it('keeps its line numbers', () => {
    if (!read.ok) throw new Error('not read');
    const lines = text.split('\n');
    for (const { line, lot } of read.value.lots) {
      expect(lines[line - 1]!.startsWith(`${lot.hop},${lot.form}`)).toBe(true);
    }
  });
});
