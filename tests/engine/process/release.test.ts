// Release of bound thiols by yeast: what is known of its temperature stands in the range of the rows.
import { describe, expect, it } from 'vitest';
import { YEASTS } from '#shared/ids.ts';
import { model } from '#engine/tables/model.ts';

describe('the release of bound thiols', () => {
  const rows = YEASTS.flatMap((yeast) =>
    (['cys', 'g'] as const).map((form) => `yeast.${yeast}.${form}_release` as const),
  );

  it.each(rows)('%s has room for half and double by the temperature of fermentation', (id) => {
    const { low, central, high, sources } = model.parameters[id];
    // Half to double between 15 and 28 C as recalled (CHEN22); only a rise was found since (OSU-T24).
    expect(low).toBeLessThanOrEqual(central / 2);
    expect(high).toBeGreaterThanOrEqual(central * 2);
    expect(sources).toEqual(expect.arrayContaining(['CHEN22', 'OSU-T24']));
  });

  it('is freer from a yeast that is kept for it', () => {
    for (const form of ['cys', 'g'] as const) {
      const [standard, releasing] = YEASTS.map(
        (yeast) => model.parameters[`yeast.${yeast}.${form}_release`].central,
      );
      expect(releasing).toBeGreaterThan(5 * standard!);
    }
  });
});
