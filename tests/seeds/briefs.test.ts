// What the invented briefs are there to show: that the yeast and the form change what a profile costs,
// what a brewer would brew, and what a clash looks like.
import { describe, expect, it } from 'vitest';
import { SEED_BRIEFS } from '#seeds/index.ts';
import type { Blend, DesignAnswer } from '#shared/answers/answer.ts';
import type { FormId, YeastId } from '#shared/ids.ts';
import { success, type Outcome } from '#shared/outcome.ts';
import { readBrief } from '#shared/reading/read.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { stageName } from '#shared/stages/kinds.ts';
import { model } from '#engine/tables/model.ts';
import { design } from '#optimize/questions/design.ts';

function briefOf(id: string): Brief {
  return SEED_BRIEFS.find((s) => s.id === id)!.brief;
}

function answered(outcome: Outcome<DesignAnswer>): { answer: DesignAnswer; blend: Blend } {
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return { answer: outcome.value, blend: outcome.value.blends[0]! };
}

/** Offered hops of the table in some of their forms. */
function tableIn(forms: readonly FormId[]): Brief['candidates'] {
  return model.hops
    .filter((hop) => hop.missing.length === 0)
    .flatMap((hop) => forms.filter((f) => hop.forms.includes(f)).map((form) => ({ form, hop })))
    .map(({ form, hop }) => ({ form, hop: hop.name }));
}

describe('the seed briefs', () => {
  it('are seven, each readable as the document it is', () => {
    expect(SEED_BRIEFS.map((s) => s.id)).toEqual([
      'tropical',
      'citrus-floral',
      'resin-led',
      'clash',
      'near-empty-freezer',
      'lager',
      'hazy',
    ]);
    for (const { brief } of SEED_BRIEFS) {
      expect(readBrief(JSON.stringify(brief))).toEqual(success(brief));
      expect(brief.batch.beer_l).toBeGreaterThanOrEqual(20);
      expect(brief.batch.beer_l).toBeLessThanOrEqual(40);
      expect(brief.limits.weigh_step_g).toBe(1);
    }
    expect(SEED_BRIEFS.filter((s) => s.brief.candidates === 'table').length).toBeGreaterThan(1);
  });

  it('name their stages as heads of a page', () => {
    for (const { brief } of SEED_BRIEFS) {
      for (const key of Object.keys(brief.stages)) expect(stageName(key)).toMatch(/^\p{Lu}/u);
    }
  });

  it.each(['tropical', 'citrus-floral', 'resin-led', 'near-empty-freezer', 'lager', 'hazy'])(
    '%s can be met, and the best blend is proven',
    (id) => {
      const { answer, blend } = answered(design(model, briefOf(id)));
      expect(answer.status).toBe('optimal');
      expect(blend.worst_miss).toBe(0);
      expect(blend.misses).toEqual([]);
    },
  );

  it('clash cannot be met; the closest blend is given, with its proven miss', () => {
    const { answer, blend } = answered(design(model, briefOf('clash')));
    expect(answer.status).toBe('closest');
    expect(answer.lower_bound).toBeGreaterThan(0.2);
    expect(blend.worst_miss).toBeGreaterThanOrEqual(answer.lower_bound - 1e-6);
    expect(blend.misses.map((m) => m.wish)).toContain('target.floral');
  });
});

describe('the tropical brief', () => {
  const brief = briefOf('tropical');
  const weightWith = (yeast: YeastId, forms: readonly FormId[]) => {
    const { answer, blend } = answered(
      design(model, {
        ...brief,
        batch: { ...brief.batch, yeast },
        target: { tropical: { at_least: 3 }, citrus: { at_least: 2.5 } },
        limits: { ban: [], require: [] },
        candidates: tableIn(forms),
      }),
    );
    return { answer, blend, gPerL: blend.totals.hop_g_per_l };
  };

  it('costs about half the hop with thiol-releasing yeast and enriched pellets', () => {
    // common practice, no source: about 4.5 units of hops instead of 8 for the same profile.
    const thiol = weightWith('thiol_releasing', ['pellet_90', 'pellet_enriched']);
    const plain = weightWith('standard', ['pellet_90']);
    console.log(
      `same target: ${thiol.gPerL.toFixed(2)} g/L with thiol-releasing yeast and enriched pellets, ` +
        `${plain.gPerL.toFixed(2)} g/L with standard yeast and type 90 only`,
    );
    for (const { answer, blend } of [thiol, plain]) {
      expect(answer.status).not.toBe('closest');
      expect(blend.worst_miss).toBe(0);
    }
    const ratio = thiol.blend.totals.hop_g / plain.blend.totals.hop_g;
    expect(ratio).toBeGreaterThan(0.4);
    expect(ratio).toBeLessThan(0.65);
    // What brewers use of type 90 for it; common practice, no source.
    expect(plain.gPerL).toBeGreaterThan(4);
    expect(plain.gPerL).toBeLessThan(15);
  });

  it('is a dry hop of several fruit hops, as hazy beers are brewed', () => {
    const { answer, blend } = answered(design(model, brief));
    expect(answer.status).toBe('optimal');
    expect(blend.additions.length).toBeGreaterThan(1);
    // Enriched pellets count nearly double.
    const type90 = blend.additions
      .filter((a) => a.stage === 'dry_hop')
      .reduce((sum, a) => sum + a.grams * (a.form === 'pellet_enriched' ? 1.85 : 1), 0);
    expect(type90 / brief.batch.beer_l).toBeGreaterThan(6);
    expect(type90 / brief.batch.beer_l).toBeLessThan(15);
  });
});
