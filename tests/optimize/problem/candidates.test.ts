// Which lots of a brief take part: entries of the same lot as one, and what keeps most of them out told
// first where none can be used.
import { describe, expect, it } from 'vitest';
import { SEED_BRIEFS } from '#seeds/index.ts';
import type { Blend } from '#shared/answers/answer.ts';
import { briefSchema, type Brief } from '#shared/schemas/brief.ts';
import type { Candidate } from '#shared/schemas/lot.ts';
import { model } from '#engine/tables/model.ts';
import { offersOf } from '#optimize/problem/candidates.ts';
import { design } from '#optimize/questions/design.ts';

const brief: Brief = briefSchema.parse(SEED_BRIEFS[0]!.brief);
const gramsOf = (candidates: Candidate[]) => {
  const found = offersOf(model, { ...brief, candidates });
  if (!found.ok) throw new Error(JSON.stringify(found.problems));
  for (const { lot, candidate } of found.value.offers) {
    expect(candidate.grams_on_hand ?? null).toBe(lot.gramsOnHand);
  }
  return found.value.offers.map((o) => o.lot.gramsOnHand);
};

describe('entries of a list', () => {
  const citra = { hop: 'Citra', form: 'pellet_90', grams_on_hand: 30 } as const;

  it('that are the same lot count as one, with all of its grams', () => {
    expect(gramsOf([citra, { ...citra, hop: 'citra', grams_on_hand: 12 }])).toEqual([42]);
    const { grams_on_hand: _, ...unlimited } = citra;
    expect(gramsOf([citra, unlimited, citra])).toEqual([null]);
  });

  it('that differ in anything a blend is judged by stay apart', () => {
    const others: Candidate[] = [
      { ...citra, form: 'pellet_enriched' },
      { ...citra, price_per_kg: 30 },
      { ...citra, analysis: { alpha_pct: 11 } },
      { ...citra, storage: { storage_index: 0.4 } },
    ];
    expect(gramsOf([citra, ...others])).toHaveLength(5);
  });
});

it('tells what keeps most candidates out where none can be used', () => {
  const priced: Brief = { ...brief, limits: { ...brief.limits, cost_at_most: 5 } };
  const found = offersOf(model, { ...priced, candidates: 'table' });
  const message = found.ok ? '' : found.problems[0]!.message;
  expect(message).toMatch(/^no candidate can be used: no price_per_kg, and cost counts/);
});

it('leaves out a lot known by its alpha acids alone, unless the table knows its variety, and says what is missing', () => {
  const analysis = { alpha_pct: 6 };
  const form = 'pellet_90';
  const candidates: Candidate[] = [
    { hop: 'Garden Gate', form, analysis },
    { hop: 'Citra', form, analysis },
  ];
  const found = offersOf(model, { ...brief, candidates });
  if (!found.ok) throw new Error(JSON.stringify(found.problems));
  const { offers, leftOut } = found.value;
  // The rest of a variety of the table is estimated by its cells.
  expect(offers.map(({ lot }) => lot.hop)).toEqual(['Citra']);
  expect(leftOut).toHaveLength(1);
  expect(leftOut[0]).toMatchObject({ hop: 'Garden Gate' });
  expect(leftOut[0]!.reason).toMatch(/^no figure for total_oil_ml_per_100g, .*linalool_pct_of_oil/);
});

it('says how much of a required hop is taken where no limit says it', () => {
  const limits = { ban: [], require: ['Saaz'] };
  const asked: Brief = { ...brief, target: {}, limits };
  const answer = design(model, asked, { band: { samples: 20, seed: 1 } });
  if (!answer.ok) throw new Error(JSON.stringify(answer.problems));
  const [{ additions }] = answer.value.blends as [Blend];
  const least = 0.1 * brief.batch.beer_l;
  expect(additions.map((a) => [a.hop, a.grams])).toEqual([['Saaz', expect.closeTo(least, 6)]]);
  expect(answer.value.why.notes.join()).toContain(`at least ${least} g, 0.1 g/L`);
});

it('leaves out a lot in a form not asked for, and a hop of the table only where it is in no other', () => {
  const limits: Brief['limits'] = { ...brief.limits, forms: ['cone'] };
  const lots = (['cone', 'pellet_90'] as const).map((form): Candidate => ({ hop: 'Citra', form }));
  const listed = offersOf(model, { ...brief, limits, candidates: lots });
  if (!listed.ok) throw new Error(JSON.stringify(listed.problems));
  expect(listed.value.offers.map((o) => o.lot.form)).toEqual(['cone']);
  expect(listed.value.leftOut).toEqual([
    { hop: 'Citra', reason: 'as pellet_90, which is not among limits.forms' },
  ]);
  const stage_forms = Object.fromEntries(
    Object.keys(brief.stages).map((stage) => [stage, ['cone' as const]]),
  );
  const unplaced = offersOf(model, {
    ...brief,
    limits: { ...brief.limits, stage_forms },
    candidates: lots,
  });
  const none = offersOf(model, {
    ...brief,
    limits: { ...brief.limits, stage_forms },
    candidates: [lots[1]!],
  });
  expect(none.ok ? null : none.problems[0]).toMatchObject({
    message: 'no candidate can be used: as pellet_90, which limits.stage_forms allows at no stage',
    cure: 'Ease what limits them, or offer other lots',
  });
  expect(unplaced.ok && unplaced.value.leftOut).toEqual([
    { hop: 'Citra', reason: 'as pellet_90, which limits.stage_forms allows at no stage' },
  ]);
  const table = offersOf(model, { ...brief, limits, candidates: 'table' });
  if (!table.ok) throw new Error(JSON.stringify(table.problems));
  const offered = new Set(table.value.offers.map((o) => o.lot.hop));
  expect(offered.size).toBeGreaterThan(10);
  expect(table.value.leftOut.filter((l) => offered.has(l.hop))).toEqual([]);
});
