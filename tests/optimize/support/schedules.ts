// Schedules of the invented brewery used by the tests of swaps and savings, and a way to run them.
import type { Outcome } from '#shared/outcome.ts';
import { scheduleSchema, type Schedule } from '#shared/schemas/brief.ts';
import { finished, type Run } from '#optimize/pacing/clock.ts';

export const BAND = { samples: 20, seed: 1 };

const STAGES = {
  mash: { temp_c: 66, minutes: 60, boil_minutes: 60 },
  hot_steep: { temp_c: 80, minutes: 20, closed: false },
  dry_hop: { temp_c: 14, hours: 72, mixed: false, live_yeast: false },
};

/** Three hops at two stages, all priced. */
export const PALE: Schedule = scheduleSchema.parse({
  name: 'Pale with three hops',
  batch: { beer_l: 20, yeast: 'standard', malt_g_per_l: 210 },
  stages: { hot_steep: STAGES.hot_steep, dry_hop: STAGES.dry_hop },
  additions: [
    { hop: 'Centennial', form: 'pellet_90', stage: 'hot_steep', grams: 50, price_per_kg: 30 },
    { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 100, price_per_kg: 44 },
    { hop: 'Simcoe', form: 'pellet_90', stage: 'dry_hop', grams: 60, price_per_kg: 40 },
  ],
});

/** One hop used at two stages beside two others, with a mash. */
export const HAZY: Schedule = scheduleSchema.parse({
  name: 'Hazy with a mash hop',
  batch: { beer_l: 20, yeast: 'thiol_releasing', malt_g_per_l: 210 },
  stages: STAGES,
  additions: [
    { hop: 'Cascade', form: 'pellet_90', stage: 'mash', grams: 50, price_per_kg: 20 },
    { hop: 'Citra', form: 'pellet_90', stage: 'hot_steep', grams: 40, price_per_kg: 44 },
    { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 100, price_per_kg: 44 },
    { hop: 'Mosaic', form: 'pellet_90', stage: 'dry_hop', grams: 60, price_per_kg: 40 },
  ],
});

/** The value of a search run to its end. */
export function valueOf<P, T>(search: Run<P, Outcome<T>>): T {
  const outcome = finished(search);
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return outcome.value;
}
