// Many plans may count the same. Of these one is looked for that uses old lots before new ones and what is on
// hand before what is bought, then fewer grams: batch by batch, each counting no more than it did. Found, not proven.
import type { Candidate } from '#shared/schemas/lot.ts';
import type { Resting } from '#optimize/pacing/clock.ts';
import { bestOf, blendOf, within, type BatchBlend } from './batch-blend.ts';
import { planOf, takenTogether, type Plan } from './season-plan.ts';
import { isShared, type SeasonProblem } from './season-problem.ts';

/** Nodes of the search of one batch. */
const NODES = 40;
/** A gram of the newest lot counts by so much more than one of the oldest; a bought one as much again. */
const NEWER = 0.2;
/** Room for the rounding of sums, as a share. */
const ROOM = 1e-9;

/** How new each shared lot is, 0 to 1; 2 where it is bought. */
function newness({ lots, season }: SeasonProblem): number[] {
  const candidates = season.candidates as readonly Candidate[];
  const ages = lots.map(({ members }): number | null => {
    const { storage, harvest_year: year } = candidates[members[0]!]!;
    return storage?.months ?? (year === undefined ? null : -12 * year);
  });
  const known = ages.filter((age) => age !== null);
  const order = [...new Set(known)].sort((a, b) => b - a);
  return lots.map((lot, l) => {
    if (lot.grams === Infinity) return 2;
    const age = ages[l] ?? null;
    return age === null || order.length < 2 ? 1 : order.indexOf(age) / (order.length - 1);
  });
}

/** A plan that counts no more, by which older lots go first. */
export function* tieBrokenPlan(season: SeasonProblem, plan: Plan): Resting<Plan> {
  const { blocks, lots } = season;
  const isNew = newness(season);
  const weigh = (b: number, { doses }: BatchBlend) => {
    const { lotOf, problem } = blocks[b]!;
    return doses.columns.reduce(
      (sum, j, k) => sum + doses.doses[k]! * problem.beerL * (1 + NEWER * isNew[lotOf[j]!]!),
      0,
    );
  };
  let best = plan;
  for (const [b, block] of blocks.entries()) {
    const { problem, lotOf } = block;
    const before = best.blends[b]!;
    const others = takenTogether(best.blends.filter((_, at) => at !== b));
    const left = new Map(
      lots.flatMap(({ grams, packageG }, l) => {
        if (!isShared(lots[l]!)) return [];
        const used = others.get(l) ?? 0;
        if (packageG === null) return [[l, grams - used] as const];
        const own = before.taken.get(l) ?? 0;
        return [[l, Math.ceil((used + own) / packageG - ROOM) * packageG - used] as const];
      }),
    );
    const limited = within(block, left);
    const counts = {
      of: { kind: 'objective' } as const,
      coef: problem.objective,
      most: before.own * (1 + ROOM) + ROOM,
      taken: 0,
    };
    const objective = Float64Array.from(lotOf, (l) => problem.beerL * (1 + NEWER * isNew[l]!));
    const asked = { ...limited, objective, limits: [...limited.limits, counts] };
    const found = yield* bestOf(asked, block.slack, [before.doses], 0, NODES);
    if (!found.doses) continue;
    const blend = blendOf(season, block, found.doses);
    const other = planOf(season, best.blends.with(b, blend));
    const isBetter = weigh(b, blend) < weigh(b, before) * (1 - ROOM);
    if (isBetter && other.lacking <= best.lacking && other.worth <= plan.worth * (1 + ROOM) + ROOM)
      best = other;
  }
  return best;
}
