// Plans near a mixture: each batch in turn is searched with what is left of the lots once the others have
// what the mixture gives them; then each once more with what the finished plan leaves over.
import type { Grams } from '#shared/units.ts';
import { packagesFor } from '#engine/predict/purchases.ts';
import type { Resting } from '#optimize/pacing/clock.ts';
import { bestOf, blendOf, priced, within, type BatchBlend } from './batch-blend.ts';
import type { Mixture } from './season-master.ts';
import { isShared, type SeasonProblem } from './season-problem.ts';

/** Nodes of the search of one batch. */
const NODES = 60;

/** Blends by batch; `null` where none was found in what was left. */
type Completed = readonly (BatchBlend | null)[];

/** Grams the mixture takes of each lot for a batch. */
function meanTaken(list: readonly BatchBlend[], shares: Float64Array): Map<number, Grams> {
  const mean = new Map<number, Grams>();
  list.forEach(({ taken }, k) => {
    if (shares[k]! <= 1e-9) return;
    for (const [l, grams] of taken) mean.set(l, (mean.get(l) ?? 0) + shares[k]! * grams);
  });
  return mean;
}

/** Orders in which the batches choose: the dearest at these prices first, and the other way round. */
function ordersOf(season: SeasonProblem, lists: readonly (readonly BatchBlend[])[]): number[][] {
  const least = lists.map((list) => list.reduce((m, { own }) => Math.min(m, own), Infinity));
  const heavy = [...season.blocks.keys()].sort((a, b) => least[b]! - least[a]! || a - b);
  return [heavy, [...heavy].reverse()];
}

/** @param tolerance gap to which each batch is searched, in the objective. */
export function* completed(
  season: SeasonProblem,
  lists: readonly (readonly BatchBlend[])[],
  mixture: Mixture,
  prices: Float64Array,
  tolerance: number,
): Generator<Completed | undefined, void> {
  const { lots, blocks } = season;
  const scarce = lots.flatMap((lot, l) => (isShared(lot) ? [l] : []));
  const wanted = lists.map((list, b) => meanTaken(list, mixture.shares[b]!));
  for (const [turn, order] of ordersOf(season, lists).entries()) {
    // Of packages first as many as the mixture buys, to the nearest whole one; then those alone that it fills.
    const whole = turn === 0 ? Math.round : Math.floor;
    const there = (l: number) => {
      const { grams, packageG } = lots[l]!;
      return packageG === null ? grams : whole(mixture.packages[l]! + 1e-9) * packageG;
    };
    const left = new Map(scarce.map((l) => [l, there(l)]));
    const blends: (BatchBlend | null)[] = blocks.map(() => null);
    const choose = function* (
      b: number,
      later: readonly number[],
      opens = false,
    ): Resting<BatchBlend | null> {
      const block = blocks[b]!;
      const most = new Map(
        scarce.flatMap((l) => {
          if (opens && lots[l]!.packageG !== null) return [];
          const promised = later.reduce((sum, other) => sum + (wanted[other]!.get(l) ?? 0), 0);
          return [[l, Math.max(0, left.get(l)! - promised)] as const];
        }),
      );
      const problem = priced(block, within(block, most), prices, true);
      const found = yield* bestOf(problem, block.slack, [], tolerance, NODES);
      return found.doses && blendOf(season, block, found.doses);
    };
    for (const [i, b] of order.entries()) {
      const blend =
        (yield* choose(b, order.slice(i + 1))) ??
        (yield* choose(b, [])) ??
        (yield* choose(b, [], true));
      blends[b] = blend;
      for (const [l, grams] of blend?.taken ?? []) {
        const { packageG } = lots[l]!;
        const over = Math.max(0, grams - left.get(l)!);
        const more = packageG === null || over === 0 ? 0 : packagesFor(over, packageG) * packageG;
        left.set(l, left.get(l)! + more - grams);
      }
    }
    yield [...blends];
    if (blends.some((blend) => blend === null)) continue;
    const again = [...blends];
    for (const b of order) {
      const block = blocks[b]!;
      const before = again[b]!;
      for (const [l, grams] of before.taken) left.set(l, left.get(l)! + grams);
      const problem = within(block, left);
      const found = yield* bestOf(problem, block.slack, [before.doses], tolerance, NODES);
      const better = found.doses ? blendOf(season, block, found.doses) : before;
      again[b] = better.own < before.own ? better : before;
      for (const [l, grams] of again[b].taken) left.set(l, left.get(l)! - grams);
    }
    yield again;
  }
}
