// Humulinones of a lot: oxidised alpha acids, bitter and well soluble in beer. A share of the alpha acids
// turns into them within days of pelleting, even without air; more as storage takes the acids (MAYE15).
import { decay, line, minus, num, sum, times, type Line } from '#engine/symbols/term.ts';
import { parameter, type Lines } from '#engine/symbols/rows.ts';
import type { Lot } from './composition.ts';
import { ageingOf, ageOf, alphaOf, MG_PER_G_PER_PCT } from './content.ts';
import { lotName } from './figures.ts';

/**
 * Humulinones in 1 g of the lot, mg/g; `null` where its alpha acids are not known. Alpha acids of the table are
 * those at harvest: humulinones are a share of them, plus a share of what storage has taken since. Analysed
 * alpha acids are those of today: what was lost before is counted from them as the logarithm of the loss, which
 * is the same while the loss is small. Source: MAYE15.
 */
export function humulinonesOf(lines: Lines, lot: Lot): Line | null {
  const { model } = lines;
  const alpha = ageingOf(lines, lot, 'alpha_pct');
  if (!alpha) return null;
  return lines.onceOf(lot, 'humulinones', () => {
    const ofHarvest = alpha.since === 'harvest';
    const acids = ofHarvest
      ? times(
          alpha.stated,
          parameter(model, `form.${lot.form}.concentration`),
          num(MG_PER_G_PER_PCT),
        )
      : alphaOf(lines, lot)!;
    const fresh = parameter(model, 'humulinones.of_alpha');
    const age = ageOf(lines, lot, 'harvest');
    const lost = age && (ofHarvest ? minus(num(1), decay(age)) : age);
    const share = lost ? sum(fresh, times(parameter(model, 'humulinones.of_lost'), lost)) : fresh;
    const term = times(acids, share);
    return line(`Humulinones in ${lotName(lot)}`, 'mg/g', 'humulinones', term, { kept: true });
  });
}
