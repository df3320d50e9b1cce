// The reasons of the seed briefs: contributions first, prices where wishes are met, and where they
// are not, every eased brief can indeed be met.
import { describe, expect, it } from 'vitest';
import type { Brief } from '#shared/schemas/brief.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { model } from '#engine/tables/model.ts';
import { design } from '#optimize/questions/design.ts';
import { explaining, explainingWithout } from '#optimize/sensitivity/explain.ts';
import { finished } from '#optimize/pacing/clock.ts';

const seed = (name: string): Brief => SEED_BRIEFS.find((s) => s.brief.name === name)!.brief;
function blendOf(brief: Brief) {
  const answer = design(model, brief);
  if (!answer.ok) throw new Error('the seed brief has no answer');
  return answer.value.blends[0]!;
}
function valueOf<T>(outcome: { ok: true; value: T } | { ok: false }): T {
  if (!outcome.ok) throw new Error('refused');
  return outcome.value;
}

describe('explaining', () => {
  it('tells the contributions before anything else, and prices only of a designed blend', () => {
    const brief = seed('What six remainders can do');
    const blend = blendOf(brief);
    const search = explaining(model, brief, blend, true);
    const first = search.next();
    expect(first.done).toBe(false);
    expect(first.value).toMatchObject({ prices: null, clash: null });
    const known = valueOf(finished(search));
    expect(known.contributions.length).toBeGreaterThan(1);
    expect(known.prices!.some((p) => p.price > 0)).toBe(true);
    const aside = valueOf(finished(explaining(model, brief, blend, false)));
    expect(aside.prices).toBeNull();
    expect(aside.contributions).toEqual(known.contributions);
  });

  it('eases a clash to briefs that can be met', () => {
    const brief = seed('All flowers, no citrus');
    const { clash } = valueOf(finished(explaining(model, brief, blendOf(brief), true)));
    const eased = clash!.members.flatMap((m) => (m.eased ? [m] : []));
    expect(eased.length).toBeGreaterThan(0);
    for (const { eased: easier, eased_to: to, asked } of eased) {
      expect(to).not.toBe(asked);
      expect(blendOf(easier!).misses).toEqual([]);
    }
  });

  it('says why a hop is not in a blend', () => {
    const brief = seed('What six remainders can do');
    const blend = blendOf(brief);
    const used = new Set(blend.additions.filter((a) => a.grams > 0).map((a) => a.hop));
    const { candidates } = brief;
    const other = candidates !== 'table' && candidates.find((c) => !used.has(c.hop));
    if (!other) throw new Error('every candidate is used');
    const found = valueOf(finished(explainingWithout(model, brief, blend, other.hop)));
    expect(['dearer', 'impossible']).toContain(found.verdict);
    if (found.with_it) expect(found.with_it.extra).toBeGreaterThanOrEqual(-1e-6);
    expect(valueOf(finished(explainingWithout(model, brief, blend, [...used][0]!))).verdict).toBe(
      'in_blend',
    );
  });
});
