// Which columns come in: those that sorting all of them would put first, in that order, however many there are.
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { comingIn } from '#optimize/lp/column-generation.ts';

const MOST = 6;

it('brings in what takes most off the bound, of equals the first', () => {
  // Few different figures, so that many columns are equal.
  const column = fc.record({
    reduced: fc.integer({ min: -5, max: 2 }),
    upper: fc.integer({ min: 0, max: 3 }),
    held: fc.boolean(),
  });
  fc.assert(
    fc.property(fc.array(column, { maxLength: 60 }), (drawn) => {
      const reduced = Float64Array.from(drawn, (c) => c.reduced);
      const upper = Float64Array.from(drawn, (c) => c.upper);
      const columns = Int32Array.from(drawn.keys());
      const lower = new Float64Array(drawn.length);
      const priced = { columns, count: drawn.length, reduced, lower, upper };
      const found = comingIn(priced, (j) => drawn[j]!.held, MOST);
      const useful = [...drawn.keys()].filter(
        (j) => !drawn[j]!.held && reduced[j]! < 0 && upper[j]! > 0,
      );
      const gain = (j: number) => reduced[j]! * upper[j]!;
      const inOrder = [...useful].sort((a, b) => gain(a) - gain(b) || a - b);
      // So few that all come in keep the order they stand in.
      expect(found).toEqual(useful.length > MOST ? inOrder.slice(0, MOST) : useful);
    }),
  );
});
