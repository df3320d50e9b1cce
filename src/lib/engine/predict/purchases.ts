// What hops cost: by the gram, or in whole packages where a lot is sold in packages. The rest of an opened
// package is paid for too, less the part of its price that the batch says it keeps.
import type { Purchase } from '#shared/answers/prediction.ts';
import type { Batch } from '#shared/schemas/brief.ts';
import type { In, Grams } from '#shared/units.ts';
import type { Lot } from '#engine/lot/composition.ts';
import type { Design, LotAddition } from './design.ts';

/** Share of a package that counts as rounding and opens no further package. */
const ROUNDING = 1e-9;

/** Packages to open for an amount in the unit of the package: g, or g/L. */
export function packagesFor<Unit extends string>(
  amount: In<Unit>,
  onePackage: NoInfer<In<Unit>>,
): number {
  return Math.ceil(amount / onePackage - ROUNDING);
}

/** Share of its price that the rest of a package keeps, 0 to 1. */
export function leftoverWorth({ leftover_value_pct: pct = 0 }: Batch): number {
  return pct / 100;
}

function gramsByLot(additions: readonly LotAddition[]): Map<Lot, Grams> {
  const grams = new Map<Lot, Grams>();
  for (const { lot, grams: g } of additions) if (g > 0) grams.set(lot, (grams.get(lot) ?? 0) + g);
  return grams;
}

/** The lots bought in whole packages, with what is paid and how much is left over. */
export function purchasesOf(additions: readonly LotAddition[]): Purchase[] {
  return [...gramsByLot(additions)].flatMap(([{ hop, form, packageG, pricePerKg }, grams]) => {
    if (packageG === null) return [];
    const packages = packagesFor(grams, packageG);
    const bought = packages * packageG;
    const cost = pricePerKg === null ? null : (bought / 1000) * pricePerKg;
    const left = Math.max(0, bought - grams);
    return [{ hop, form, package_g: packageG, packages, cost, grams_left: left }];
  });
}

/** Cost of the additions, less what the rests of packages are worth; `null` where a lot has no price. */
export function costOf({ batch, additions }: Pick<Design, 'batch' | 'additions'>): number | null {
  const worth = leftoverWorth(batch);
  let cost = 0;
  for (const [{ packageG, pricePerKg }, grams] of gramsByLot(additions)) {
    if (pricePerKg === null) return null;
    const bought = packageG === null ? grams : packagesFor(grams, packageG) * packageG;
    cost += ((bought - worth * Math.max(0, bought - grams)) / 1000) * pricePerKg;
  }
  return cost;
}
