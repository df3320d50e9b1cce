// The beer by which all varieties are ranked: each alone, as type 90 in the dry hop of one stated process, so
// that axes can be compared with compounds. Knows the beer, not what it smells of: pages name it without the engine.
import type { Schedule } from '#shared/schemas/brief.ts';
import type { GramsPerLitre } from '#shared/units.ts';

/** Grams of hop per litre of beer at each stage. */
export const SINGLE_HOP_DOSE_G_PER_L: GramsPerLitre = 4;

/** The process in which every variety is tried, usual at every stage. Our choice. */
export const SINGLE_HOP_PROCESS = {
  batch: { beer_l: 20, malt_g_per_l: 210 },
  stages: {
    mash: { temp_c: 66, minutes: 60, boil_minutes: 60 },
    boil: { minutes: 10 },
    hot_steep: { temp_c: 80, minutes: 20, closed: false },
    dry_hop: { temp_c: 16, hours: 96, mixed: false, live_yeast: false },
  },
} as const satisfies { batch: Omit<Schedule['batch'], 'yeast'>; stages: Schedule['stages'] };

/** A variety alone in the dry hop, 16 C, 96 h, standard yeast. */
export function aloneInDryHop(
  hop: string,
  gPerL: GramsPerLitre = SINGLE_HOP_DOSE_G_PER_L,
): Schedule {
  const { batch, stages } = SINGLE_HOP_PROCESS;
  const grams = gPerL * batch.beer_l;
  return {
    name: hop,
    batch: { ...batch, yeast: 'standard' },
    stages: { dry_hop: stages.dry_hop },
    additions: [{ hop, form: 'pellet_90', stage: 'dry_hop', grams }],
  };
}
