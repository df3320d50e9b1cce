// What hops cost: by the gram, or in whole packages where a lot is sold in such. What is left of an
// opened package is paid for too.
import type { Purchase } from '#shared/answers/answer.ts';
import type { In, Grams } from '#shared/units.ts';
import type { Lot } from '#engine/lot/composition.ts';
import type { LotAddition } from './design.ts';

/** Share of a package that is rounding and opens no further one. */
const ROUNDING = 1e-9;

/** Packages to open for so much, in the unit of the package: g, or g/L. */
export function packagesFor<Unit extends string>(
  amount: In<Unit>,
  onePackage: NoInfer<In<Unit>>,
): number {
  return Math.ceil(amount / onePackage - ROUNDING);
}

function gramsByLot(additions: readonly LotAddition[]): Map<Lot, Grams> {
  const grams = new Map<Lot, Grams>();
  for (const { lot, grams: g } of additions) if (g > 0) grams.set(lot, (grams.get(lot) ?? 0) + g);
  return grams;
}

/** The lots bought in whole packages, with what is paid and what is left over. */
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

/** What is paid for additions; `null` where a lot has no price. */
export function costOf(additions: readonly LotAddition[]): number | null {
  let cost = 0;
  for (const [{ packageG, pricePerKg }, grams] of gramsByLot(additions)) {
    if (pricePerKg === null) return null;
    const paid = packageG === null ? grams : packagesFor(grams, packageG) * packageG;
    cost += (paid / 1000) * pricePerKg;
  }
  return cost;
}
