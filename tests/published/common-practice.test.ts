// What brewers commonly do and say, with no source behind it: the program must not tell them
// nonsense. Each figure is marked `common practice, no source`.
import { describe, expect, it } from 'vitest';
import { THIOLS } from '#shared/ids.ts';
import { type StageKind } from '#shared/stages/kinds.ts';
import type { Analysis } from '#shared/schemas/lot.ts';
import type { Stages } from '#shared/stages/stages.ts';
import { model } from '#engine/tables/model.ts';
import { brew, doseFor, ugPerL, type Trial } from './brewing.ts';

const DRY: Stages = { dry_hop: { temp_c: 16, hours: 96, mixed: false, live_yeast: false } };
const dry: Trial = { stage: 'dry_hop', dose: 6, stages: DRY, hop: 'Citra' };

describe('common practice, no source', () => {
  it('lupulin-enriched pellets: about half the dose gives the same oil', () => {
    for (const compound of ['linalool', 'geraniol', 'branched_isobutyrates'] as const) {
      const wanted = ugPerL(brew(dry), compound);
      const dose = doseFor(wanted, (d) =>
        ugPerL(brew({ ...dry, form: 'pellet_enriched', dose: d }), compound),
      );
      // less hop in the beer also means a better yield, so that slightly less than half will do
      expect(dose / dry.dose, compound).toBeGreaterThan(0.4);
      expect(dose / dry.dose, compound).toBeLessThan(0.55);
    }
  });

  it('30 min at 80 C gives modest bitterness: a fifth of a boil, 5 to 15 IBU from 4 g/L', () => {
    const steep = (temp_c: number, minutes: number) =>
      brew({
        ...{ stage: 'hot_steep', dose: 4, analysis: { alpha_pct: 8 } },
        stages: { hot_steep: { temp_c, minutes, closed: false } },
      }).totals.ibu;
    expect(steep(80, 30)).toBeGreaterThan(5);
    expect(steep(80, 30)).toBeLessThan(15);
    expect(steep(80, 30) / steep(100, 60)).toBeLessThan(0.25);
  });

  it('a dry hop of 2 kg/hL loses about 14 % of the beer', () => {
    const { beer_lost_l } = brew({ ...dry, dose: 20 }).totals;
    expect(beer_lost_l).toBeGreaterThan(0.12);
    expect(beer_lost_l).toBeLessThan(0.17);
  });

  describe('hops rich in free thiols pay late, hops rich in bound ones early', () => {
    const stages: Stages = {
      ...DRY,
      mash: { temp_c: 66, minutes: 60, boil_minutes: 60 },
    };
    const base: Analysis = { alpha_pct: 8, total_oil_ml_per_100g: 1.5, linalool_pct_of_oil: 0.5 };
    const none: Analysis = {
      sh3_ug_per_kg: 0,
      sha3_ug_per_kg: 0,
      msp4_ug_per_kg: 0,
      s3mp4_ug_per_kg: 0,
    };
    const free: Analysis = {
      ...base,
      ...none,
      sh3_ug_per_kg: 30,
      msp4_ug_per_kg: 30,
      g_sh3_mg_per_kg: 0.5,
      cys_sh3_mg_per_kg: 0.01,
    };
    const bound: Analysis = {
      ...base,
      ...none,
      sh3_ug_per_kg: 2,
      g_sh3_mg_per_kg: 40,
      cys_sh3_mg_per_kg: 2,
    };
    /** Odour activity of all thiols from 3 g/L of a hop. */
    const activity = (analysis: Analysis, stage: StageKind, yeast: Trial['yeast']) => {
      const beer = brew({ stage, dose: 3, stages, analysis, yeast });
      return THIOLS.reduce(
        (sum, thiol) => sum + ugPerL(beer, thiol) / model.compounds[thiol].threshold!.central,
        0,
      );
    };

    it.each(['standard', 'thiol_releasing'] as const)('with %s yeast', (yeast) => {
      expect(activity(free, 'dry_hop', yeast)).toBeGreaterThan(2 * activity(free, 'mash', yeast));
      expect(activity(bound, 'mash', yeast)).toBeGreaterThan(2 * activity(bound, 'dry_hop', yeast));
    });

    it('and the bound ones gain most from a yeast that sets thiols free', () => {
      const gain = (analysis: Analysis) =>
        activity(analysis, 'mash', 'thiol_releasing') / activity(analysis, 'mash', 'standard');
      expect(gain(bound)).toBeGreaterThan(3);
      expect(gain(bound)).toBeGreaterThan(gain(free));
    });
  });
});
