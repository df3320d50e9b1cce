// The beer by which all varieties are ranked: each alone, as type 90 in the dry hop of one stated process, so
// that axes can be compared with compounds. Process and dose are those of `single-hop.ts`.
import type { Schedule } from '#shared/schemas/brief.ts';
import type { GramsPerLitre } from '#shared/units.ts';
import { SINGLE_HOP_DOSE_G_PER_L, SINGLE_HOP_PROCESS } from './single-hop.ts';

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
