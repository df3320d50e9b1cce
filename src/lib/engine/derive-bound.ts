// The filled-in equations of bound 3SH: what a lot or the malt holds, and what the yeast sets free of it.
// Held against the engine by a test.
import type { StageId } from '#shared/ids.ts';
import type { Lot } from './composition.ts';
import { inProduct, keyOf, lotName } from './derive-lot.ts';
import { boundByClass, figureOf, given, once, parameter, type Working } from './derive-rows.ts';
import { by, line, num, over, power, sum, times, type Line } from './terms.ts';

/** Bound 3SH of the lot, ug/g: measured, else by class. */
export function boundOf(working: Working, lot: Lot): { readonly cys: Line; readonly g: Line } {
  const measured = figureOf(working, lot, 'g_sh3_mg_per_kg');
  const measuredCys = figureOf(working, lot, 'cys_sh3_mg_per_kg');
  const g = once(working, `g ${keyOf(lot)}`, () =>
    line(
      `Glutathionylated 3SH in ${lotName(lot)}`,
      'µg/g',
      'bound_content',
      inProduct(working, lot, measured ?? boundByClass(working, lot), 'bound'),
    ),
  );
  const cys = once(working, `cys ${keyOf(lot)}`, () =>
    line(
      `Cysteinylated 3SH in ${lotName(lot)}`,
      'µg/g',
      'bound_content',
      measuredCys
        ? inProduct(working, lot, measuredCys, 'bound')
        : times(by(g), parameter(working, 'precursor.cys_share')),
    ),
  );
  return { cys, g };
}

/** 3SH the yeast sets free from 1 g of the lot at a hot stage, ug/g; `null` in a dry hop. */
export function releasedOf(working: Working, lot: Lot, stage: StageId): Line | null {
  if (stage === 'dry_hop') return null;
  const { batch, stages } = working.design;
  const { cys, g } = boundOf(working, lot);
  return once(working, `released ${keyOf(lot)} ${stage}`, () => {
    const kept =
      stage === 'hot_steep'
        ? parameter(working, 'precursor.survival.hot_steep')
        : power(
            parameter(working, 'precursor.survival.mash'),
            over(
              given('stages.mash.boil_minutes', stages.mash?.boil_minutes ?? 0, 'Boil', 'min'),
              num(60),
            ),
          );
    const gain = stage === 'mash' ? [parameter(working, 'precursor.mash_release')] : [];
    const term = sum(
      times(
        by(cys),
        kept,
        ...gain,
        parameter(working, 'precursor.cys_to_sh3'),
        parameter(working, `yeast.${batch.yeast}.cys_release`),
      ),
      times(
        by(g),
        kept,
        parameter(working, 'precursor.g_to_sh3'),
        parameter(working, `yeast.${batch.yeast}.g_release`),
      ),
    );
    const at = stage === 'mash' ? 'mash' : 'hot steep';
    const name = `3SH the yeast frees of ${lotName(lot)} in the ${at}`;
    return line(name, 'µg/g', 'bound_release', term);
  });
}

/** 3SH the yeast frees of the malt's own, ug/L. */
export function maltReleased(working: Working): Line {
  return once(working, 'malt', () => {
    const { batch } = working.design;
    const malt = given('batch.malt_g_per_l', batch.malt_g_per_l, 'Malt', 'g/L');
    const term = sum(
      times(
        malt,
        parameter(working, 'malt.cys_sh3'),
        parameter(working, 'precursor.mash_release'),
        parameter(working, 'precursor.cys_to_sh3'),
        parameter(working, `yeast.${batch.yeast}.cys_release`),
      ),
      times(
        malt,
        parameter(working, 'malt.g_sh3'),
        parameter(working, 'precursor.g_to_sh3'),
        parameter(working, `yeast.${batch.yeast}.g_release`),
      ),
    );
    return line('3SH the yeast frees of the malt', 'µg/L', 'bound_release', term);
  });
}
