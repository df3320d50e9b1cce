// Drawn seasons: briefs with wishes around hidden blends of the same lots, of which there is too little for all.
// The same seed gives the same season.
import { briefSchema } from '#shared/schemas/brief.ts';
import type { Candidate } from '#shared/schemas/lot.ts';
import { seasonSchema, type Season } from '#shared/schemas/season.ts';
import { randomFrom } from '#engine/doubt/sampling.ts';
import { between, randomLots, STAGES, wishesAround, type Shape } from './instances.ts';

export interface SeasonShape {
  readonly batches: number;
  readonly lots: number;
  /** Grams of each lot, at least and at most. */
  readonly grams: readonly [number, number];
  /** Share of the lots that can be bought in packages, with no end of them. */
  readonly sold?: number;
  readonly packageG?: number;
  readonly minimise?: Season['minimise'];
  readonly hopsAtMost?: number;
  readonly smallest?: number;
  readonly step?: number;
  readonly wishes?: number;
  readonly stages?: Shape['stages'];
}

/** Two hot-side batches over a handful of lots. */
export const HOT_SEASON: SeasonShape = {
  batches: 2,
  lots: 6,
  grams: [10, 40],
  stages: ['mash', 'hot_steep'],
  hopsAtMost: 3,
  smallest: 5,
  step: 1,
  wishes: 2,
};

export function randomSeason(seed: number, shape: SeasonShape): Season {
  const random = randomFrom(seed / 1e4);
  for (let i = 0; i < 5; i += 1) random.uniform();
  const { batches, lots: count, grams, minimise = 'weight' } = shape;
  const drawn: Shape = {
    hops: count,
    forms: 1,
    stages: shape.stages ?? ['mash', 'hot_steep', 'dry_hop'],
    wishes: shape.wishes ?? 4,
    beerL: 20,
    dosed: [1, 5],
    room: [0.1, 0.4],
  };
  const candidates = randomLots(random, drawn).map((lot): Candidate => {
    const isSold = random.uniform() < (shape.sold ?? 0);
    if (isSold) return { ...lot, ...(shape.packageG && { package_g: shape.packageG }) };
    return { ...lot, grams_on_hand: Math.round(between(random, ...grams)) };
  });
  return seasonSchema.parse({
    name: `season ${seed}`,
    minimise,
    candidates,
    batches: Array.from({ length: batches }, (_, b) => {
      const plain = briefSchema.parse({
        name: `batch ${b + 1}`,
        batch: {
          beer_l: drawn.beerL,
          yeast: random.uniform() < 0.5 ? 'standard' : 'thiol_releasing',
          malt_g_per_l: 200,
        },
        stages: Object.fromEntries(drawn.stages.map((s) => [s, STAGES[s]])),
        target: {},
        candidates,
      });
      const { target } = wishesAround(plain, candidates, drawn, random);
      const limits = {
        ...(shape.hopsAtMost && { hops_at_most: shape.hopsAtMost }),
        ...(shape.smallest && { smallest_addition_g: shape.smallest }),
        ...(shape.step && { weigh_step_g: shape.step }),
      };
      return {
        brew_on: `2026-0${1 + Math.floor(b / 3)}-0${1 + (b % 3)}`,
        brief: { ...plain, target, limits: { ban: [], require: [], ...limits } },
      };
    }),
  });
}
