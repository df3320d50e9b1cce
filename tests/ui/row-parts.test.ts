// Rows of the stock stay in the part they began in, in the order of the rows.
import { describe, expect, it } from 'vitest';
import { keepingParts } from '#ui/stock/row-parts.ts';

describe('rows in parts that keep them', () => {
  const rows = (ids: string) => [...ids].map((id) => ({ id }));
  const read = (parts: ReturnType<ReturnType<typeof keepingParts>>) =>
    parts.map(
      ({ part, from, rows: some }) => `${part}@${from}:${some.map(({ id }) => id).join('')}`,
    );

  it('cuts them by size at first', () => {
    expect(read(keepingParts(2)(rows('abcde')))).toEqual(['0@0:ab', '1@2:cd', '2@4:e']);
  });

  it('leaves a row in its part while others go, come and come back', () => {
    const cut = keepingParts(2);
    cut(rows('abcdef'));
    expect(read(cut(rows('bcdef')))).toEqual(['0@0:b', '1@1:cd', '2@3:ef']);
    expect(read(cut(rows('ef')))).toEqual(['2@0:ef']);
    expect(read(cut(rows('abcxdef')))).toEqual(['0@0:ab', '1@2:cxd', '2@5:ef']);
    expect(read(cut(rows('zx')))).toEqual(['0@0:z', '1@1:x']);
  });

  it('keeps every row once and in order, whatever the order becomes', () => {
    const cut = keepingParts(2);
    cut(rows('abcdef'));
    expect(read(cut(rows('afbecd')))).toEqual(['0@0:a', '2@1:fbe', '1@4:cd']);
  });
});
