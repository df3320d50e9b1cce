// Where no plan gives every batch what its brief asks: the plan that lacks fewest grams, and a smallest set of
// batches and lots that clash. Whatever the clash remains without is left out; what is not settled in time is
// kept, so that too much may be named, but never too little.
import type { Clock, Resting, Run } from '#optimize/pacing/clock.ts';
import { listening, run } from '#optimize/pacing/clock.ts';
import type { BatchBlend } from './batch-blend.ts';
import { isShared, type SeasonProblem } from './season-problem.ts';
import { SeasonSearch } from './season-search.ts';
import type { Plan } from './season-plan.ts';

/** Batches and shared lots, by their numbers. */
export interface SeasonClash {
  readonly batches: readonly number[];
  readonly lots: readonly number[];
  /** Whether each of them is proven to be needed for the clash. */
  readonly isSmallest: boolean;
}

/** A bound below this is rounding, g. */
const NOTHING_G = 1e-2;
/** Nodes after which a smaller clash is taken as not settled. */
const NODES = 40;

/** Whether a season has a plan, as far as is known. */
export type Feasible = 'yes' | 'no' | 'unknown';

/** What a search for the fewest grams lacking has shown. */
export function possibleBy({ merit, bound }: SeasonSearch): Feasible {
  if (merit <= 0) return 'yes';
  return bound > NOTHING_G ? 'no' : 'unknown';
}

/** The season with some batches only, and some of its lots without end. */
function part(season: SeasonProblem, batches: readonly number[], lots: ReadonlySet<number>) {
  return {
    ...season,
    blocks: batches.map((b) => season.blocks[b]!),
    lots: season.lots.map((lot, l) => (lots.has(l) ? lot : { ...lot, grams: Infinity })),
  };
}

function* settled(
  season: SeasonProblem,
  pool: readonly (readonly BatchBlend[])[],
): Resting<Feasible> {
  const search = new SeasonSearch(season, 'lacking', pool);
  while (possibleBy(search) === 'unknown' && search.nodes <= NODES && search.step()) yield;
  return possibleBy(search);
}

/** The batches and lots that clash, of a season proven to have no plan. */
export function* clashIn<P>(
  season: SeasonProblem,
  pool: readonly (readonly BatchBlend[])[],
  clock: Clock,
  progress: () => P,
): Run<P, SeasonClash> {
  let batches = [...season.blocks.keys()];
  let lots = new Set(
    season.lots.flatMap((lot, l) => (isShared(lot) && lot.grams < Infinity ? [l] : [])),
  );
  let isSmallest = true;
  const clashes = function* (some: readonly number[], shared: ReadonlySet<number>) {
    const asked = settled(
      part(season, some, shared),
      some.map((b) => pool[b]!),
    );
    const found = clock.over ? null : yield* listening(clock, asked, progress, clock.deadline);
    if (found !== 'yes' && found !== 'no') isSmallest = false;
    return found === 'no';
  };
  for (const b of [...batches]) {
    const others = batches.filter((other) => other !== b);
    if (others.length > 0 && (yield* clashes(others, lots))) batches = others;
  }
  // Lots in halves first: most have no part in it.
  const parts = [[...lots]];
  for (let some = parts.pop(); some; some = parts.pop()) {
    if (some.length === 0) continue;
    const left = new Set([...lots].filter((l) => !some.includes(l)));
    if (left.size > 0 && (yield* clashes(batches, left))) lots = left;
    else if (some.length > 1) {
      const half = some.length >> 1;
      parts.push(some.slice(half), some.slice(0, half));
    }
  }
  return { batches, lots: [...lots], isSmallest };
}

/** Looks for a plan, or for the proof that there is none; the search tells which, and what lacks least. */
export function* lackingLeast<P>(
  season: SeasonProblem,
  pool: readonly (readonly BatchBlend[])[],
  clock: Clock,
  until: number,
  progress: () => P,
): Run<P, SeasonSearch> {
  const search = new SeasonSearch(season, 'lacking', pool);
  yield* run(
    clock,
    {
      get incumbent(): Plan | null {
        return search.incumbent;
      },
      step: () => search.merit > 0 && search.step(),
    },
    until,
    progress,
  );
  return search;
}
