// A tasting table as people save it: columns in any order, commas as decimal marks, cells left empty.
import { describe, expect, it } from 'vitest';
import { readTastingList } from '#shared/lists/tasting-list.ts';

describe('a tasting table', () => {
  it('gives a tasting for each row, empty cells left out', () => {
    const read = readTastingList('Citrus;Taster;Onion, garlic\n3,5;AB;\n2;CD;0,5\n', 4);
    expect(read).toEqual({
      ok: true,
      value: [
        { taster: 'AB', order: 4, scores: { citrus: 3.5 } },
        { taster: 'CD', order: 5, scores: { citrus: 2, onion_garlic: 0.5 } },
      ],
    });
  });

  it('names each line that cannot be read, with its cure', () => {
    const read = readTastingList('taster,citrus,resin\nAB,9,1\n,2,1\nCD,strong,2\n', 1);
    expect(read.ok).toBe(false);
    if (read.ok) return;
    expect(read.problems.map(({ path }) => /^line \d/.exec(path)?.[0])).toEqual(
      expect.arrayContaining(['line 2', 'line 3', 'line 4']),
    );
    for (const { cure } of read.problems) expect(cure).toMatch(/\w/);
  });

  it('says which columns are wanted where they are missing', () => {
    expect(readTastingList('hop,grams\nCitra,20', 1)).toMatchObject({ ok: false });
    expect(readTastingList('taster,citrus', 1)).toMatchObject({ ok: false });
    expect(readTastingList('', 1)).toMatchObject({ ok: false });
  });
});
