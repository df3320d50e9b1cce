// Batches that are to hold in a share of lots. A plan is made for the middle of what is known of the lots; then
// each of these batches looks, in what the others leave it, for the lightest blend that holds. Where one finds
// none there, they choose first and the others are planned anew in what is left. A blend that holds meets its
// wishes in the middle lots too, so what every plan counts at least stays proven.
import type { Hold } from '#shared/answers/answer.ts';
import { asksOfLots } from '#optimize/problem/chance.ts';
import { listening, run, type Run, type RunBudget } from '#optimize/pacing/clock.ts';
import { holding } from '#optimize/robust/robust.ts';
import { bestOf, blendOf, within, type BatchBlend } from './batch-blend.ts';
import { planOf, takenTogether, type Plan } from './season-plan.ts';
import { isShared, type SeasonBlock, type SeasonProblem } from './season-problem.ts';
import { SeasonSearch } from './season-search.ts';

/** A plan, and of each batch that is to hold in a share of lots, how far it does. */
export interface HoldingPlan {
  readonly plan: Plan;
  readonly holds: ReadonlyMap<number, Hold>;
}

/** The share of lots a batch is to hold in; 0 where none is asked, or none of its blends meets its wishes. */
export function shareAsked({ brief, slack }: SeasonBlock): number {
  return slack === 0 && asksOfLots(brief) ? (brief.limits.holds_in_lots_at_least ?? 0) : 0;
}

/** Batches that are to hold in a share of lots, in the order of the season. */
export function askingIn({ blocks }: SeasonProblem): number[] {
  return [...blocks.keys()].filter((b) => shareAsked(blocks[b]!) > 0);
}

/** Nodes of the search for the least that a batch costs where it need not hold. */
const PLAIN_NODES = 60;

/** A blend of one batch that holds, among those that take no more than others leave; and how far it does. */
function* heldBatch<P>(
  season: SeasonProblem,
  b: number,
  others: readonly BatchBlend[],
  own: BatchBlend,
  until: number,
  { clock, progress }: RunBudget<P>,
): Run<P, { readonly blend: BatchBlend; readonly hold: Hold }> {
  const block = season.blocks[b]!;
  const used = takenTogether(others);
  const left = new Map(
    season.lots.flatMap((lot, l) =>
      isShared(lot) ? [[l, lot.grams - (used.get(l) ?? 0)] as const] : [],
    ),
  );
  const problem = within(block, left);
  // What the batch costs at least where it need not hold: a search that comes down to it is over.
  const plain = bestOf(problem, 0, [own.doses], 0, PLAIN_NODES);
  const least = yield* listening(clock, plain, progress, until);
  const middle = { doses: own.doses, bound: least?.bound ?? 0 };
  const budget = { clock, until, progress };
  const found = yield* holding(
    block.model,
    block.brief,
    problem,
    middle,
    shareAsked(block),
    budget,
  );
  return { blend: blendOf(season, block, found.doses), hold: found.hold };
}

/** Each of these batches in turn changed so that it holds, in what all others of `blends` leave it. */
function* heldInTurn<P>(
  season: SeasonProblem,
  asking: readonly number[],
  blends: readonly BatchBlend[],
  isAlone: boolean,
  timed: RunBudget<P>,
): Run<P, { readonly blends: BatchBlend[]; readonly holds: Map<number, Hold> }> {
  const { clock, until } = timed;
  const next = [...blends];
  const holds = new Map<number, Hold>();
  for (const [i, b] of asking.entries()) {
    const others = isAlone
      ? asking.slice(0, i).map((other) => next[other]!)
      : next.filter((_, other) => other !== b);
    const from = clock.now();
    const end = from + Math.max(0, until - from) / (asking.length - i);
    const { blend, hold } = yield* heldBatch(season, b, others, next[b]!, end, timed);
    next[b] = blend;
    holds.set(b, hold);
  }
  return { blends: next, holds };
}

const isHeld = (holds: ReadonlyMap<number, Hold>) => [...holds.values()].every((h) => h.reached);

/** The plan of the other batches in what some leave them; `null` where none was found. */
function* othersAround<P>(
  season: SeasonProblem,
  first: ReadonlyMap<number, BatchBlend>,
  pool: readonly (readonly BatchBlend[])[],
  { clock, until, progress }: RunBudget<P>,
): Run<P, readonly BatchBlend[] | null> {
  const used = takenTogether([...first.values()]);
  const rest = [...season.blocks.keys()].filter((b) => !first.has(b));
  const lots = season.lots.map((lot, l) => ({
    ...lot,
    grams: Math.max(0, lot.grams - (used.get(l) ?? 0)),
  }));
  let found: readonly BatchBlend[] = [];
  if (rest.length > 0) {
    const asked = { ...season, lots, blocks: rest.map((b) => season.blocks[b]!) };
    const search = new SeasonSearch(
      asked,
      'objective',
      rest.map((b) => pool[b]!),
    );
    yield* run(clock, search, until, progress);
    if (!search.incumbent) return null;
    found = search.incumbent.blends;
  }
  return season.blocks.map((_, b) => first.get(b) ?? found[rest.indexOf(b)]!);
}

/** Share of the time for what the others leave; the rest is for those that choose first. */
const LEFT_SHARE = 0.5;
const FIRST_SHARE = 0.8;

/** The plan changed so that each batch holds in its share of lots, where one was found that does. */
export function* holdingPlan<P>(
  season: SeasonProblem,
  plan: Plan,
  pool: readonly (readonly BatchBlend[])[],
  timed: RunBudget<P>,
): Run<P, HoldingPlan> {
  const { clock, until } = timed;
  const asking = askingIn(season);
  const from = clock.now();
  const after = (part: number) => from + Math.max(0, until - from) * part;
  const inLeft = yield* heldInTurn(season, asking, plan.blends, false, {
    ...timed,
    until: after(LEFT_SHARE),
  });
  const left = { plan: planOf(season, inLeft.blends), holds: inLeft.holds };
  if (isHeld(left.holds) || clock.over) return left;
  const alone = yield* heldInTurn(season, asking, plan.blends, true, {
    ...timed,
    until: after(FIRST_SHARE),
  });
  const first = new Map(asking.map((b) => [b, alone.blends[b]!]));
  const blends = yield* othersAround(season, first, pool, timed);
  if (!blends) return left;
  const reached = (holds: ReadonlyMap<number, Hold>) =>
    [...holds.values()].filter((h) => h.reached).length;
  const chosen = planOf(season, blends);
  const isBetter = chosen.lacking === 0 && reached(alone.holds) > reached(left.holds);
  return isBetter ? { plan: chosen, holds: alone.holds } : left;
}
