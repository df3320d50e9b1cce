// What the text of a design says beside its blends.
import { expect, it } from 'vitest';
import { whyLines } from '../../src/cli/print/design.ts';

it('names hops left out of one search of several, whatever the other took of them', () => {
  const names = Array.from({ length: 11 }, (_, i) => `Hop ${i}`);
  const left_out = names.map((hop) => ({ hop, reason: 'no price_per_kg' }));
  const lines = (of: typeof left_out) =>
    whyLines({ why: { notes: [], left_out: of } })
      .flat()
      .join(' ');
  expect(lines(left_out)).toMatch(/^Left out of a search, .* or a price .*: Hop 0, .* Hop 10\.$/);
  expect(lines(left_out.slice(0, 1))).toBe('Left out of a search: - Hop 0: no price_per_kg');
});
