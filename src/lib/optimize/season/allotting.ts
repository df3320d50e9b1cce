// From blends to lots and days: which of the lots that are the same goes into which batch, the oldest first, and
// what is bought for which brew day. Packages are bought as late as they are needed.
import type { LotShare, ToBuy } from '#shared/answers/season.ts';
import type { Candidate } from '#shared/schemas/lot.ts';
import type { Grams } from '#shared/units.ts';
import { packagesFor } from '#engine/predict/purchases.ts';
import type { BatchBlend } from './batch-blend.ts';
import type { SeasonProblem } from './season-problem.ts';

/** Grams that are rounding. */
const NOTHING_G = 1e-6;
const DIGITS = 10;

export interface Allotted {
  readonly lots: readonly LotShare[];
  readonly buy: readonly ToBuy[];
  readonly lacking: readonly { readonly candidate: number; readonly grams: Grams }[];
}

const rounded = (grams: Grams): Grams => Number(grams.toPrecision(DIGITS));

/** Grams of each shared lot in a blend, those included that nobody has to share. */
function allTaken(
  { blocks }: SeasonProblem,
  batch: number,
  { doses }: BatchBlend,
): Map<number, Grams> {
  const { lotOf, problem } = blocks[batch]!;
  const taken = new Map<number, Grams>();
  doses.columns.forEach((j, k) => {
    const grams = doses.doses[k]! * problem.beerL;
    taken.set(lotOf[j]!, (taken.get(lotOf[j]!) ?? 0) + grams);
  });
  return taken;
}

/** Parts the blends of a plan among the candidates. */
export function allotted(season: SeasonProblem, blends: readonly BatchBlend[]): Allotted {
  const { lots } = season;
  const candidates = season.season.candidates as readonly Candidate[];
  const left = candidates.map(({ grams_on_hand }) => grams_on_hand ?? Infinity);
  lots.forEach(({ members, grams }) => {
    // What the briefs keep is taken of the oldest.
    const there = members.reduce((sum, i) => sum + left[i]!, 0);
    let kept = there < Infinity ? there - grams : 0;
    for (const i of members) {
      const off = Math.min(kept, left[i]!);
      left[i]! -= off;
      kept -= off;
    }
  });
  const days = season.blocks.map(({ brewOn }) => brewOn);
  const order = [...days.keys()].sort((a, b) => days[a]!.localeCompare(days[b]!) || a - b);
  const taken = blends.map((blend, b) => allTaken(season, b, blend));
  const shares: LotShare[] = [];
  const lacking = new Map<number, Grams>();
  lots.forEach(({ members }, l) => {
    const onHand = members.filter((i) => candidates[i]!.grams_on_hand !== undefined);
    const sold = members.find((i) => candidates[i]!.grams_on_hand === undefined);
    for (const batch of order) {
      let grams = taken[batch]!.get(l) ?? 0;
      const take = (candidate: number, part: Grams) => {
        grams -= part;
        if (part > NOTHING_G) shares.push({ candidate, batch, grams: rounded(part) });
      };
      for (const i of onHand) {
        const part = Math.min(grams, left[i]!);
        left[i]! -= part;
        take(i, part);
      }
      if (grams <= NOTHING_G) continue;
      const rest = sold ?? onHand.at(-1)!;
      if (sold === undefined) lacking.set(rest, (lacking.get(rest) ?? 0) + grams);
      take(rest, grams);
    }
  });
  return {
    lots: shares.sort(
      (a, b) => a.candidate - b.candidate || order.indexOf(a.batch) - order.indexOf(b.batch),
    ),
    buy: bought(candidates, shares, days),
    lacking: [...lacking].map(([candidate, grams]) => ({ candidate, grams: rounded(grams) })),
  };
}

function bought(
  candidates: readonly Candidate[],
  shares: readonly LotShare[],
  days: readonly string[],
): ToBuy[] {
  return candidates.flatMap((candidate, i): ToBuy[] => {
    const { hop, form, package_g: size, price_per_kg: price } = candidate;
    if (candidate.grams_on_hand !== undefined) return [];
    const own = shares.filter((share) => share.candidate === i);
    let [used, opened] = [0, 0];
    return [...new Set(own.map(({ batch }) => days[batch]!))].sort().flatMap((by): ToBuy[] => {
      const grams = own.reduce((sum, s) => sum + (days[s.batch] === by ? s.grams : 0), 0);
      used += grams;
      const packages = size === undefined ? null : packagesFor(used, size) - opened;
      if (packages === 0) return [];
      opened += packages ?? 0;
      const weight = packages === null ? grams : packages * size!;
      const cost = price === undefined ? null : (weight / 1000) * price;
      return [
        {
          candidate: i,
          hop,
          form,
          by,
          grams: weight,
          ...(packages !== null && { packages }),
          cost,
        },
      ];
    });
  });
}
