// Briefs over the hops of the table as people write them: wishes around a hidden blend of a few hops, at
// most four hops, 5 g least, steps of 1 g. The same seed gives the same brief.
import { AXES } from '#shared/ids.ts';
import { briefSchema, type Brief } from '#shared/schemas/brief.ts';
import { randomFrom } from '#engine/doubt/sampling.ts';
import { model } from '#engine/tables/model.ts';
import { between, STAGES, wishesAround, type Shape } from './instances.ts';

const SHAPE: Shape = {
  hops: 0,
  forms: 1,
  stages: ['mash', 'hot_steep', 'dry_hop'],
  wishes: 4,
  beerL: 20,
  dosed: [2, 7],
  room: [0.05, 0.35],
};

/** A brief of 4 to 6 wishes over all hops of the table; every second one asks for a bitterness. */
export function tableBrief(seed: number): Brief {
  const random = randomFrom(seed / 1e4);
  for (let i = 0; i < 5; i += 1) random.uniform();
  const lots = model.hops
    .filter((hop) => hop.missing.length === 0)
    .map((hop) => ({ hop: hop.name, form: hop.forms[0]! }));
  const plain = briefSchema.parse({
    name: `table ${seed}`,
    batch: {
      beer_l: SHAPE.beerL,
      yeast: random.uniform() < 0.5 ? 'standard' : 'thiol_releasing',
      malt_g_per_l: 200,
    },
    stages: Object.fromEntries(SHAPE.stages.map((s) => [s, STAGES[s as keyof typeof STAGES]])),
    target: {},
    minimise: 'weight',
    candidates: 'table',
  });
  const wishes = 4 + Math.floor(random.uniform() * 3);
  const { target, ibu } = wishesAround(plain, lots, { ...SHAPE, wishes }, random);
  if (!AXES.some((axis) => target[axis])) throw new Error(`no wish in brief ${seed}`);
  return briefSchema.parse({
    ...plain,
    target,
    limits: {
      hops_at_most: 4,
      smallest_addition_g: 5,
      weigh_step_g: 1,
      ...(seed % 2 === 0 && {
        ibu_at_least: Math.min(60, ibu * 0.6),
        ibu_at_most: Math.min(999, ibu * between(random, 1.2, 1.6)),
      }),
    },
  });
}
