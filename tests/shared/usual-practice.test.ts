// Which hops stand where brewers seldom put them; what is usual of a kind of beer.
import { describe, expect, it } from 'vitest';
import type { FormId } from '#shared/ids.ts';
import { KINDS_OF_BEER, unusualRoles } from '#shared/answers/usual-practice.ts';
import type { Stages } from '#shared/stages/stages.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { keptAnswer } from '../golden/answers.ts';

const STAGES: Stages = {
  boil: { minutes: 60 },
  late: { kind: 'boil', minutes: 10 },
  hot_steep: { temp_c: 80, minutes: 20, closed: false },
  dry_hop: { temp_c: 14, hours: 72, mixed: false, live_yeast: false },
};
const at = (hop: string, stage: string, grams = 10, form: FormId = 'pellet_90') => ({
  hop,
  form,
  stage,
  grams,
});

describe('hops in an unusual role', () => {
  it('are fine hops at the start of the boil and bittering hops at its end or after', () => {
    const additions = [
      at('Magnum', 'boil'),
      at('magnum', 'late'),
      at('Saaz', 'boil'),
      at('Saaz', 'late'),
      at('Warrior', 'dry_hop'),
      at('Citra', 'dry_hop'),
      at('Citra', 'boil'),
      at('Polaris', 'hot_steep', 0),
    ];
    expect(unusualRoles(additions, STAGES)).toEqual([
      { hop: 'magnum', stage: 'late', role: 'bittering_hop_late' },
      { hop: 'Saaz', stage: 'boil', role: 'aroma_hop_early' },
      { hop: 'Warrior', stage: 'dry_hop', role: 'bittering_hop_late' },
    ]);
  });

  it('are enriched pellets in the boil, and nowhere later', () => {
    const additions = Object.keys(STAGES).map((stage) => at('Citra', stage, 10, 'pellet_enriched'));
    expect(unusualRoles(additions, STAGES)).toEqual([
      { hop: 'Citra', stage: 'boil', role: 'unusual_form' },
      { hop: 'Citra', stage: 'late', role: 'unusual_form' },
    ]);
  });

  it('are none in what the lager brief is answered with', () => {
    const { brief } = SEED_BRIEFS.find(({ id }) => id === 'lager')!;
    const { blend } = keptAnswer('lager') as { blend: { additions: ReturnType<typeof at>[] } };
    expect(unusualRoles(blend.additions, brief.stages)).toEqual([]);
    const { from, to } = KINDS_OF_BEER.lager;
    const gPerL = blend.additions.reduce((sum, a) => sum + a.grams, 0) / brief.batch.beer_l;
    expect(gPerL).toBeGreaterThan(from);
    expect(gPerL).toBeLessThan(to);
  });
});
