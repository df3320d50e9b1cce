// The cost of the hops as a line: grams, or whole packages where a lot is sold in such, times the price.
import { lotName } from '#engine/lot/figures.ts';
import { given } from '#engine/symbols/rows.ts';
import {
  labelled,
  line,
  num,
  over,
  sum,
  times,
  type Line,
  type Summand,
  type Term,
} from '#engine/symbols/term.ts';
import type { Design } from './design.ts';
import { dosedIn, lotsOf } from './predict.ts';
import { packagesFor } from './purchases.ts';

/** What the hops cost; `null` where a used lot has no price. */
export function costLine(design: Design): Line | null {
  const used = dosedIn(design);
  const paid: Summand[] = [];
  for (const lot of lotsOf(design)) {
    if (lot.pricePerKg === null) return null;
    const price = given(`price_per_kg/${lot.hop}`, lot.pricePerKg, `Price of ${lot.hop}`, 'a kg');
    const of = used.filter((a) => a.lot === lot);
    const grams = of.reduce((all, a) => all + a.grams, 0);
    const bought: Term =
      lot.packageG === null
        ? sum(
            ...of.map(({ stage, grams: g }) =>
              given(`grams/${lot.hop}/${stage}`, g, `${lot.hop}, ${stage}`, 'g'),
            ),
          )
        : times(
            num(packagesFor(grams, lot.packageG)),
            given(`package_g/${lot.hop}`, lot.packageG, `Package of ${lot.hop}`, 'g'),
          );
    paid.push({ label: lotName(lot), term: times(over(bought, num(1000)), price) });
  }
  return line('Cost', 'in the money of your prices', 'cost', labelled(paid));
}
