// The whole mixed-integer program of a season whose hops all go in hot: then no yield depends on a dry-hop load, so
// that the program is exact. Written down from the documents of the batches alone, connected by the grams of each lot
// and by whole packages; HiGHS solves it.
import type { Brief } from '#shared/schemas/brief.ts';
import type { Candidate } from '#shared/schemas/lot.ts';
import type { Season } from '#shared/schemas/season.ts';
import { OracleProgram } from './oracle-program.ts';
import { readingOf } from './oracle-reading.ts';
import { Whole } from './oracle-whole.ts';

/** Far more grams than any of these seasons takes. */
const MOST_G = 1e5;

/** The least of what a season minimises; `null` where there is no plan. */
export function seasonOracle({ batches, candidates, minimise }: Season): number | null {
  const lots = candidates as readonly Candidate[];
  const program = new OracleProgram();
  /**
   * Share of its price that what is left of a package keeps. A gram that is used is not left, and costs that much
   * more.
   */
  const kept = (batches[0]!.brief.batch.leftover_value_pct ?? 0) / 100;
  const asBatch = (lot: Candidate): Candidate => {
    const { package_g: size, ...rest } = lot;
    // Packages are counted below, for all batches together.
    return size === undefined ? rest : { ...rest, price_per_kg: kept * rest.price_per_kg! };
  };
  const wholes = batches.map(({ brief }) => {
    const asked: Brief = { ...brief, minimise, candidates: lots.map(asBatch) };
    return new Whole(readingOf(asked), { from: 0, to: 0 }, {}, program);
  });
  lots.forEach(({ grams_on_hand: grams, package_g: size, price_per_kg: price }, i) => {
    const taken = wholes.flatMap((whole) => whole.taken(i));
    if (grams !== undefined) program.atMost(taken, grams);
    if (size === undefined) return;
    const paid = minimise === 'cost' ? ((1 - kept) * size * price!) / 1000 : 0;
    const count = program.column(paid, 0, Math.ceil(MOST_G / size), true);
    program.atMost([...taken, [count, -size]], 0);
  });
  return program.solve(1e-6, 600)?.cost ?? null;
}
