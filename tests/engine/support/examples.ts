// Schedules and lots used by the engine tests: small, written out, nothing random.
import { designOf, type Design } from '#engine/predict/design.ts';
import { model } from '#engine/tables/model.ts';
import type { Schedule } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';

export const STAGES = {
  mash: { temp_c: 66, minutes: 60, boil_minutes: 60 },
  boil: { minutes: 30 },
  hot_steep: { temp_c: 80, minutes: 20, closed: false },
  dry_hop: { temp_c: 18, hours: 96, mixed: false, live_yeast: false },
} as const;

export function scheduleOf(additions: readonly Addition[], over: Partial<Schedule> = {}): Schedule {
  return {
    name: 'example',
    batch: { beer_l: 20, yeast: 'standard', malt_g_per_l: 200 },
    stages: STAGES,
    additions: [...additions],
    ...over,
  };
}

/** The design of a schedule that is known to be sound. */
export function soundDesign(schedule: Schedule): Design {
  const outcome = designOf(model, schedule);
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return outcome.value;
}
