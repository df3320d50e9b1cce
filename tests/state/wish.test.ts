// Wishes as they are handled against wishes as the document holds them.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { wishSchema } from '#shared/schemas/brief.ts';
import { WISH_KINDS, handled, metBy, tenth, wishOf } from '#state/documents/wish.ts';

const anyHandled = fc.record({
  kind: fc.constantFrom(...WISH_KINDS),
  value: fc.integer({ min: 0, max: 100 }).map((n) => n / 10),
  within: fc.integer({ min: 0, max: 30 }).map((n) => n / 10),
});

describe('wishes', () => {
  it('come back from the document as they were handled', () => {
    fc.assert(
      fc.property(anyHandled, (wish) => {
        const back = handled(wishOf(wish));
        expect(back.kind).toBe(wish.kind);
        if (wish.kind !== 'free') expect(back.value).toBe(wish.value);
        if (wish.kind === 'aim') expect(back.within).toBe(wish.within);
      }),
    );
  });

  it('are always documents the schema takes', () => {
    fc.assert(
      fc.property(anyHandled, (wish) => {
        const document = wishOf(wish);
        expect(document === undefined).toBe(wish.kind === 'free');
        if (document) expect(wishSchema.safeParse(document).success).toBe(true);
      }),
    );
  });

  it('show at_least with at_most as the aim that is met by the same intensities', () => {
    const window = { at_least: 2, at_most: 3 };
    const shown = handled(window);
    expect(shown).toEqual({ kind: 'aim', value: 2.5, within: 0.5 });
    expect(metBy(wishOf(shown)!)).toEqual(metBy(window));
  });

  it('are met from low to high, open where nothing bounds them', () => {
    expect(metBy({ aim: 0.2, within: 0.5 })).toEqual({ low: 0, high: 0.7 });
    expect(metBy({ at_least: 3 })).toEqual({ low: 3, high: Infinity });
    expect(metBy({ at_most: 2 })).toEqual({ low: 0, high: 2 });
    expect(metBy({ aim: 3, within: 1, at_most: 3.5 })).toEqual({ low: 2, high: 3.5 });
  });

  it('are set in tenths', () => {
    expect(tenth(0.1 + 0.2)).toBe(0.3);
  });
});
