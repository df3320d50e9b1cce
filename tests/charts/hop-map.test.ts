// Names on the map never touch each other or a dot, and stay on the chart.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { placed, type Spot } from '#charts/plots/hop-map.ts';

const SIZE = { width: 800, height: 460, margin: 14, foot: 24, most: 6, dot: 5, line: 15 };
/** Least room beside a name, px: two names in a row must read as two. */
const APART = 5 - 1e-9;

const spots = fc
  .uniqueArray(
    fc.record({
      x: fc.double({ min: 0, max: 6, noNaN: true }),
      y: fc.double({ min: 0, max: 6, noNaN: true }),
      long: fc.double({ min: 10, max: 180, noNaN: true }),
      first: fc.boolean(),
    }),
    { minLength: 2, maxLength: 90, selector: ({ x, y }) => `${x} ${y}` },
  )
  .map((all) =>
    all.map(({ x, y, long, first }, i): Spot => {
      return { id: String(i), name: `n${i}`, at: [x, y], first, long };
    }),
  );

test('names keep clear of each other and of the dots at any width', () => {
  fc.assert(
    fc.property(spots, fc.integer({ min: 200, max: 1400 }), (all, width) => {
      const places = placed(all, { ...SIZE, width });
      const boxes = places.flatMap((place, i) => {
        if (!place.label) return [];
        const { long } = all[i]!;
        const from = place.label.anchor === 'start' ? place.label.x : place.label.x - long;
        return [{ from, to: from + long, y: place.y, of: i }];
      });
      for (const box of boxes) {
        expect(box.from).toBeGreaterThanOrEqual(SIZE.foot);
        expect(box.to).toBeLessThanOrEqual(width);
        expect(box.y - SIZE.line / 2).toBeGreaterThanOrEqual(0);
        expect(box.y + SIZE.line / 2).toBeLessThanOrEqual(SIZE.height - SIZE.foot);
        for (const other of boxes) {
          if (other.of === box.of) continue;
          const across = other.from < box.to + APART && box.from < other.to + APART;
          expect(across && Math.abs(other.y - box.y) < SIZE.line).toBe(false);
        }
        places.forEach((dot, i) => {
          const room = i === box.of ? 0 : APART;
          const [left, right] = [dot.x - SIZE.dot - room, dot.x + SIZE.dot + room];
          const across = right > box.from && left < box.to;
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
    { id: 'a', name: 'A long name', at: [2, 2], first: false, long: 80 },
    { id: 'b', name: 'B long name', at: [2.4, 2], first: true, long: 80 },
    { id: 'c', name: 'Far', at: [6, 6], first: false, long: 20 },
  ];
  const names = placed(near, { ...SIZE, width: 260 });
  expect(names[1]!.label).not.toBeNull();
});
