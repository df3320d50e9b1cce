// Where a mixture of blends is no plan, what is decided next: how many packages are bought, whether a batch uses a
// hop, or how much of a lot it takes. The parts together hold every plan of the node.
import { leastDose } from '#optimize/problem/problem.ts';
import type { BatchBlend, BatchDecision } from './batch-blend.ts';
import { rangeOf, type Mixture, type PackageRange } from './season-master.ts';
import type { SeasonProblem } from './season-problem.ts';

/** A share this near to none or all is decided already. */
const WHOLE = 1e-6;
/** Grams so close that they are not worth deciding between. */
const APART_G = 1e-4;

interface Decided {
  readonly decisions: readonly (readonly BatchDecision[])[];
  readonly ranges: ReadonlyMap<number, PackageRange>;
}

export interface Part extends Decided {
  /** The batch it decides of; `null` where it is the packages. */
  readonly batch: number | null;
}

function packageSplit(
  { lots }: SeasonProblem,
  node: Decided,
  { packages }: Mixture,
): Part[] | null {
  let most = WHOLE;
  let chosen = -1;
  lots.forEach(({ packageCost }, l) => {
    if (packageCost === 0) return;
    const part = packages[l]! - Math.floor(packages[l]!);
    const off = Math.min(part, 1 - part) * packageCost;
    if (off > most) [most, chosen] = [off, l];
  });
  if (chosen < 0) return null;
  const { least, most: upper } = rangeOf(node.ranges, chosen);
  const whole = Math.floor(packages[chosen]!);
  const part = (range: PackageRange): Part => ({
    decisions: node.decisions,
    ranges: new Map(node.ranges).set(chosen, range),
    batch: null,
  });
  return [part({ least, most: whole }), part({ least: whole + 1, most: upper })];
}

function withDecision(node: Decided, batch: number, decision: BatchDecision): Part {
  const decisions = node.decisions.map((own, b) => (b === batch ? [...own, decision] : own));
  return { decisions, ranges: node.ranges, batch };
}

function hopSplit(
  { blocks }: SeasonProblem,
  node: Decided,
  lists: readonly (readonly BatchBlend[])[],
  { shares }: Mixture,
): Part[] | null {
  let most = WHOLE;
  let chosen: { batch: number; hop: number } | null = null;
  for (const [batch, own] of lists.entries()) {
    // Any dose will do: using a hop by next to nothing is as good as not using it.
    if (leastDose(blocks[batch]!.problem) === 0) continue;
    const used = new Map<number, number>();
    for (const [k, { hops }] of own.entries()) {
      for (const hop of hops) used.set(hop, (used.get(hop) ?? 0) + shares[batch]![k]!);
    }
    for (const [hop, share] of used) {
      const off = Math.min(share, 1 - share);
      if (off > most) [most, chosen] = [off, { batch, hop }];
    }
  }
  if (!chosen) return null;
  const { batch, hop } = chosen;
  return [true, false].map((isIn) => withDecision(node, batch, { kind: 'hop', hop, isIn }));
}

function gramsSplit(
  { blocks }: SeasonProblem,
  node: Decided,
  lists: readonly (readonly BatchBlend[])[],
  { shares, prices }: Mixture,
): Part[] | null {
  let most = APART_G;
  let chosen: { batch: number; lot: number; grams: number } | null = null;
  for (const [batch, own] of lists.entries()) {
    const used = own.flatMap((blend, k) =>
      shares[batch]![k]! > WHOLE ? [{ blend, share: shares[batch]![k]! }] : [],
    );
    for (const lot of new Set(used.flatMap(({ blend }) => [...blend.taken.keys()]))) {
      const grams = used.map(({ blend }) => blend.taken.get(lot) ?? 0);
      const apart = Math.max(...grams) - Math.min(...grams);
      const weight = apart * (prices[lot]! > 0 ? 1 : 1e-3);
      if (apart <= APART_G || weight <= most) continue;
      const mean = used.reduce((sum, { share }, i) => sum + share * grams[i]!, 0);
      [most, chosen] = [weight, { batch, lot, grams: mean }];
    }
  }
  if (!chosen) return null;
  const { batch, lot, grams } = chosen;
  const { step, beerL } = blocks[batch]!.problem;
  const stepG = step * beerL;
  const at = stepG > 0 ? Math.floor(grams / stepG + 1e-9) * stepG : grams;
  return [
    withDecision(node, batch, { kind: 'grams', lot, side: 'most', grams: at }),
    withDecision(node, batch, { kind: 'grams', lot, side: 'least', grams: at + stepG }),
  ];
}

/** The parts of a node; `null` where nothing is left to decide. */
export function splitOf(
  season: SeasonProblem,
  node: Decided,
  lists: readonly (readonly BatchBlend[])[],
  mixture: Mixture,
): Part[] | null {
  return (
    packageSplit(season, node, mixture) ??
    hopSplit(season, node, lists, mixture) ??
    gramsSplit(season, node, lists, mixture)
  );
}
