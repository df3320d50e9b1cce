// Names on the map never touch each other or a dot, and stay on the chart.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { placed, type Spot } from '#charts/hop-map.ts';

const SIZE = { width: 800, height: 460, margin: 14, dot: 5, line: 13, letter: 6.4 };

const spots = fc
  .uniqueArray(
    fc.record({
      x: fc.double({ min: -3, max: 3, noNaN: true }),
      y: fc.double({ min: -3, max: 3, noNaN: true }),
      length: fc.integer({ min: 3, max: 24 }),
      first: fc.boolean(),
    }),
    { minLength: 2, maxLength: 90, selector: ({ x, y }) => `${x} ${y}` },
  )
  .map((all) =>
    all.map(({ x, y, length, first }, i): Spot => {
      return { id: String(i), name: 'n'.repeat(length), at: [x, y], first };
    }),
  );

test('names keep clear of each other and of the dots', () => {
  fc.assert(
    fc.property(spots, (all) => {
      const places = placed(all, SIZE);
      const boxes = places.flatMap((place, i) => {
        if (!place.label) return [];
        const long = all[i]!.name.length * SIZE.letter;
        const from = place.label.anchor === 'start' ? place.label.x : place.label.x - long;
        return [{ from, to: from + long, y: place.y, of: i }];
      });
      for (const box of boxes) {
        expect(box.from).toBeGreaterThanOrEqual(0);
        expect(box.to).toBeLessThanOrEqual(SIZE.width);
        for (const other of boxes) {
          if (other.of === box.of) continue;
          const across = other.from < box.to && box.from < other.to;
          expect(across && Math.abs(other.y - box.y) < SIZE.line).toBe(false);
        }
        places.forEach((dot) => {
          const across = dot.x + SIZE.dot > box.from && dot.x - SIZE.dot < box.to;
          const down = Math.abs(dot.y - box.y) < SIZE.line / 2 + SIZE.dot;
          expect(across && down).toBe(false);
        });
      }
    }),
    { numRuns: 40 },
  );
});

test('the found ones are named before others', () => {
  const near: Spot[] = [
    { id: 'a', name: 'A long name', at: [0, 0], first: false },
    { id: 'b', name: 'B long name', at: [0.2, 0], first: true },
    { id: 'c', name: 'Far', at: [1, 1], first: false },
  ];
  const names = placed(near, { ...SIZE, width: 260 });
  expect(names[1]!.label).not.toBeNull();
});
