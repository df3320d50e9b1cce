// A season as mathematics: one blend problem for each batch, and the lots that all of them draw on. The
// batches are tied by nothing but these lots: what is on hand of each, and the whole packages bought of it.
import { failure, success, type Outcome, type Problem } from '#shared/outcome.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Candidate } from '#shared/schemas/lot.ts';
import type { Season } from '#shared/schemas/season.ts';
import type { Grams } from '#shared/units.ts';
import { candidateAfter, monthsBetween } from '#engine/lot/lot-storage.ts';
import { lotKey } from '#engine/predict/design.ts';
import { leftoverWorth } from '#engine/predict/purchases.ts';
import { modelFor, type Model } from '#engine/tables/model.ts';
import type { Resting } from '#optimize/pacing/clock.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { fixedObjective, freeStock } from '#optimize/problem/fixed-additions.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { stating } from '#optimize/problem/stating.ts';

/** Lots that are the same in all a blend is judged by, as one. */
export interface SharedLot {
  readonly hop: string;
  /** Places in the season's candidates; the oldest harvest first. */
  readonly members: readonly number[];
  /** On hand and free of what the briefs keep; infinite where it can be bought. */
  readonly grams: Grams;
  /** Whole packages that count in the objective, g each; `null` where none do. */
  readonly packageG: Grams | null;
  /** What a package costs less what all of it would be worth if it were left over. */
  readonly packageCost: number;
}

/** One batch: its brief with the lots as old as they are on its brew day, and the problem it states. */
export interface SeasonBlock {
  readonly brewOn: string;
  readonly model: Model;
  readonly brief: Brief;
  readonly problem: BlendProblem;
  /** Intensities by which its wishes are widened, where none of its blends meets them. */
  readonly slack: number;
  /** Of each column, the shared lot it is of. */
  readonly lotOf: Int32Array;
  /** What kept additions bring to the objective. */
  readonly base: number;
}

export interface SeasonProblem {
  readonly season: Season;
  readonly blocks: readonly SeasonBlock[];
  readonly lots: readonly SharedLot[];
}

/** Whether what one batch takes of a lot leaves less to the others, or opens packages for them. */
export function isShared({ grams, packageCost }: SharedLot): boolean {
  return grams < Infinity || packageCost > 0;
}

/** Grams that doses take of each shared lot, by its number; lots nobody has to share are left out. */
export function takenBy(
  { lots }: Pick<SeasonProblem, 'lots'>,
  { lotOf, problem }: SeasonBlock,
  { columns, doses }: Doses,
): ReadonlyMap<number, Grams> {
  const taken = new Map<number, Grams>();
  columns.forEach((j, k) => {
    const lot = lotOf[j]!;
    if (!isShared(lots[lot]!)) return;
    taken.set(lot, (taken.get(lot) ?? 0) + doses[k]! * problem.beerL);
  });
  return taken;
}

/** The day on which the lots have the ages stated. */
export function asOf({ as_of, batches }: Season): string {
  return as_of ?? batches.map(({ brew_on }) => brew_on).sort()[0]!;
}

/** Share of its price that what is left of packages keeps: the same for all batches (`unplanned`). */
function leftWorth({ batches }: Season): number {
  return leftoverWorth(batches[0]!.brief.batch);
}

/** Whether its packages are paid for as a whole; by the gram where what is left keeps all of its price. */
function paidByPackage(
  { package_g: size, price_per_kg: price }: Candidate,
  season: Season,
): boolean {
  return season.minimise === 'cost' && size !== undefined && !!price && leftWorth(season) < 1;
}

/**
 * Added to the price as this part of it per gram of package, so that lots in packages of different size stay
 * different lots.
 */
const APART = 1e-12;

/** A candidate as a batch may use it: how much there is and how it is packed is the season's to say. */
function contentOf(candidate: Candidate, season: Season): Candidate {
  const { grams_on_hand: _, package_g: size, ...content } = candidate;
  if (!paidByPackage(candidate, season)) return content;
  return { ...content, price_per_kg: content.price_per_kg! * (1 + APART * size!) };
}

/** Lots that are the same for every blend, with what there is of them; where any can be bought, no end of it. */
function sharedLots(season: Season, candidates: readonly Candidate[]): SharedLot[] {
  const alike = new Map<string, number[]>();
  candidates.forEach((candidate, i) => {
    const key = lotKey(contentOf(candidate, season));
    const there = alike.get(key);
    if (there) there.push(i);
    else alike.set(key, [i]);
  });
  return [...alike.values()].map((members) => {
    const first = candidates[members[0]!]!;
    const { hop, package_g: size, price_per_kg: price } = first;
    const grams = members.reduce((all, i) => all + (candidates[i]!.grams_on_hand ?? Infinity), 0);
    const year = (i: number) => candidates[i]!.harvest_year ?? Infinity;
    return {
      hop,
      members: members.sort((a, b) => (year(a) === year(b) ? a - b : year(a) - year(b))),
      grams,
      ...(paidByPackage(first, season)
        ? { packageG: size!, packageCost: ((1 - leftWorth(season)) * size! * price!) / 1000 }
        : { packageG: null, packageCost: 0 }),
    };
  });
}

/** The same lots as a batch takes them on its day. */
function agedLots(
  model: Model,
  season: Season,
  lots: readonly SharedLot[],
  brewOn: string,
): Candidate[] {
  const listed = season.candidates as readonly Candidate[];
  const months = monthsBetween(asOf(season), brewOn);
  return lots.map(({ members, grams }) => {
    const aged = candidateAfter(model, contentOf(listed[members[0]!]!, season), months);
    return grams < Infinity ? { ...aged, grams_on_hand: grams } : aged;
  });
}

/**
 * Of lots whose packages are paid for, a gram costs only what it would be worth if it were left over: the rest is
 * paid with the package.
 */
function withoutPackages(
  problem: BlendProblem,
  lotOf: Int32Array,
  lots: readonly SharedLot[],
  worth: number,
): BlendProblem {
  if (lots.every(({ packageCost }) => packageCost === 0)) return problem;
  const objective = problem.objective.map((c, j) =>
    lots[lotOf[j]!]!.packageCost > 0 ? worth * c : c,
  );
  return { ...problem, objective };
}

function* blockOf(
  base: Model,
  season: Season,
  at: number,
  lots: readonly SharedLot[],
): Resting<Outcome<{ block: SeasonBlock; kept: readonly Grams[] }>> {
  const { brief: asked, brew_on: brewOn } = season.batches[at]!;
  const candidates = agedLots(base, season, lots, brewOn);
  const brief = { ...asked, minimise: season.minimise, candidates };
  const model = modelFor(base, brief);
  const stated = yield* stating(model, brief);
  const inBatch = (problem: Problem) => ({
    ...problem,
    path: problem.path.startsWith('candidates')
      ? problem.path
      : `batches[${at}].brief.${problem.path}`,
  });
  if (!stated.ok) return failure(...stated.problems.map(inBatch));
  const numbers = new Map(candidates.map((candidate, l) => [lotKey(candidate), l]));
  const { offers, columns, fixed } = stated.value;
  const numberOf = offers.map(({ candidate }) => numbers.get(lotKey(candidate))!);
  const lotOf = Int32Array.from(columns, ({ lot }) => numberOf[lot]!);
  const free = freeStock(
    offers.map(({ lot }) => lot),
    fixed,
  );
  const kept = lots.map(() => 0);
  offers.forEach(({ lot }, i) => {
    if (lot.gramsOnHand !== null) kept[numberOf[i]!]! += lot.gramsOnHand - free[i]!;
  });
  const block: SeasonBlock = {
    brewOn,
    model,
    brief,
    problem: withoutPackages(stated.value, lotOf, lots, leftWorth(season)),
    slack: 0,
    lotOf,
    base: fixedObjective(fixed, brief),
  };
  return success({ block, kept });
}

/** States a season. Fails with every problem of its batches and lots. */
export function* statingSeason(model: Model, season: Season): Resting<Outcome<SeasonProblem>> {
  const { candidates } = season;
  if (candidates === 'table') {
    return failure({
      path: 'candidates',
      message: 'a season needs a list of lots, not the whole table',
      cure: 'List the lots on hand with their grams_on_hand, and those that can be bought without',
    });
  }
  const lots = sharedLots(season, candidates);
  const problems: Problem[] = [];
  const blocks: SeasonBlock[] = [];
  const kept = lots.map(() => 0);
  for (const at of season.batches.keys()) {
    const stated = yield* blockOf(model, season, at, lots);
    if (stated.ok) {
      blocks.push(stated.value.block);
      stated.value.kept.forEach((grams, l) => (kept[l]! += grams));
    } else problems.push(...stated.problems);
  }
  if (problems.length > 0) return failure(...uniqueOf(problems));
  const short = lots.flatMap((lot, l): Problem[] =>
    kept[l]! > lot.grams + 1e-6
      ? [
          {
            path: `candidates[${lot.members[0]}].grams_on_hand`,
            message: `the briefs keep ${kept[l]} g of ${lot.hop}, more than the ${lot.grams} g on hand`,
            cure: 'Keep less of it in one of the briefs, or correct the grams on hand',
          },
        ]
      : [],
  );
  if (short.length > 0) return failure(...short);
  const free = lots.map((lot, l) => ({ ...lot, grams: Math.max(0, lot.grams - kept[l]!) }));
  return success({ season, blocks, lots: free });
}

function uniqueOf(problems: readonly Problem[]): Problem[] {
  const seen = new Map(problems.map((p) => [`${p.path}|${p.message}`, p]));
  return [...seen.values()];
}
