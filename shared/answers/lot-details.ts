// What distinguishes a lot from others of its hop where it is weighed out: its own alpha acids, its packages, how old
// it is and how it was kept.
import type { Addition } from '#shared/schemas/lot.ts';

function ageWords({ months, packed }: NonNullable<Addition['storage']>): string[] {
  const count = months === undefined ? 0 : Math.round(months);
  return [
    ...(count === 0 ? [] : [count === 1 ? '1 month old' : `${count} months old`]),
    ...(packed === 'opened' ? ['opened pack'] : []),
  ];
}

/**
 * Empty where nothing is known that distinguishes it.
 * @param alphaPct of its own analysis.
 */
export function lotDetails(
  alphaPct: number | undefined,
  packageG: number | undefined,
  storage: Addition['storage'] | null,
): string {
  const words = [
    ...(alphaPct === undefined ? [] : [`${Number(alphaPct.toFixed(1))} % alpha acids`]),
    ...(packageG === undefined ? [] : [`packs of ${packageG} g`]),
    ...(storage ? ageWords(storage) : []),
  ];
  return words.join(', ');
}
