// The cost of the hops as a line: grams times the price, or whole packages where a lot is sold in packages,
// less the part of their price that leftovers keep, as the batch states it.
import { lotName } from '#engine/lot/figures.ts';
import { given } from '#engine/symbols/rows.ts';
import {
  labelled,
  line,
  minus,
  num,
  over,
  sum,
  times,
  type Line,
  type Summand,
  type Term,
} from '#engine/symbols/term.ts';
import { spokenStage } from '#shared/stages/kinds.ts';
import type { Design } from './design.ts';
import { dosedIn, lotsOf } from './predict.ts';
import { leftoverWorth, packagesFor } from './purchases.ts';

/** Cost of the hops, in the currency of the prices; `null` where a used lot has no price. */
export function costLine(design: Design): Line | null {
  const used = dosedIn(design);
  const worth = leftoverWorth(design.batch);
  const paid: Summand[] = [];
  for (const lot of lotsOf(design)) {
    if (lot.pricePerKg === null) return null;
    const price = given(`price_per_kg/${lot.hop}`, lot.pricePerKg, `Price of ${lot.hop}`, 'a kg');
    const of = used.filter((a) => a.lot === lot);
    const grams = of.reduce((all, a) => all + a.grams, 0);
    const dosed = sum(
      ...of.map(({ stage, grams: g }) =>
        given(`grams/${lot.hop}/${stage}`, g, `${lot.hop}, ${spokenStage(stage)}`, 'g'),
      ),
    );
    const bought: Term =
      lot.packageG === null
        ? dosed
        : times(
            num(packagesFor(grams, lot.packageG)),
            given(`package_g/${lot.hop}`, lot.packageG, `Package of ${lot.hop}`, 'g'),
          );
    const kept = given('batch.leftover_value_pct', 100 * worth, 'Value of what is left', '%');
    const counted =
      lot.packageG === null || worth === 0
        ? bought
        : minus(bought, times(over(kept, num(100)), minus(bought, dosed)));
    paid.push({ label: lotName(lot), term: times(over(counted, num(1000)), price) });
  }
  return line('Cost', 'in the money of your prices', 'cost', labelled(paid));
}
