// Own tables on the command line: a design of an own hop with its own parameter and price, told as theirs; a
// row that cannot be taken refused with file, row, column and cure.
import { writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { cli, ROOT } from './run.ts';

const own = ['varieties', 'measurements', 'sources', 'parameters', 'prices'].flatMap((name) => [
  '--own',
  `${ROOT}seeds/own/${name}.csv`,
]);
const SCHEDULE = JSON.stringify({
  batch: { beer_l: 20, yeast: 'standard', malt_g_per_l: 200 },
  stages: { dry_hop: { temp_c: 18, hours: 72 } },
  additions: [{ hop: 'Demo Seedling', form: 'pellet_90', stage: 'dry_hop', grams: 60 }],
});

describe('--own', () => {
  it('predicts an own hop, and says which rows are theirs', async () => {
    const file = join(tmpdir(), `own-${process.pid}.json`);
    writeFileSync(file, SCHEDULE);
    const { code, out } = await cli(['predict', file, '--json', ...own]);
    expect(code).toBe(0);
    const answer = JSON.parse(out);
    expect(answer.own).toContain('cell/demo-seedling/linalool_pct_of_oil');
    expect(answer.totals.cost).toBeCloseTo(0.06 * 31, 9);
    const cell = answer.cells.find((c: { id: string }) => c.id.endsWith('/linalool_pct_of_oil'));
    expect(cell).toMatchObject({ status: 'yours', sources: ['DEMO-LAB'] });
    expect((await cli(['predict', file])).err).toMatch(/no variety called "Demo Seedling"/);
  });

  it('tells a row of theirs by its id', async () => {
    const { out } = await cli(['source', 'own/parameter/dry_hop.yield.linalool', ...own]);
    expect(out).toContain('Status: yours, from your own tables');
    expect(out).toContain('0.7 (0.6 to 0.8)');
  });

  it('refuses a row with file, row, column and cure, and answers nothing', async () => {
    const file = join(tmpdir(), `own-${process.pid}.csv`);
    writeFileSync(file, 'hop,form,price_per_kg\nCitra,cone,x\n');
    const { code, out, err } = await cli(['source', 'input/x', '--own', file]);
    expect([code, out]).toEqual([2, '']);
    expect(err).toMatch(/own-\d+\.csv, prices, row 1, column price_per_kg: "x" .*decimal number/);
    writeFileSync(file, 'hop,form,price_per_kg\nCitrra,cone,3\n');
    expect((await cli(['source', 'input/x', '--own', file])).err).toMatch(
      /prices, row 1, column hop: .*Citra/,
    );
  });
});
