// What is said of a blend shown in place of the designed one; nothing is called proven that is not.
import { describe, expect, it } from 'vitest';
import type { Blend, Proof } from '#shared/answers/answer.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Evidence } from '#engine/evidence/evidence.ts';
import { alternativeStandIn, hopsOf, pointStandIn } from '#wording/stand-ins.ts';

const evidence = {} as Evidence;
const brief = { minimise: 'weight' } as Brief;
const proof = (change: Partial<Proof>): Proof => ({
  status: 'optimal',
  lower_bound: 40,
  gap: 0,
  ...change,
});
const blend = (change: Partial<Blend> = {}) =>
  ({
    additions: [
      { hop: 'Saaz', form: 'pellet_90', stage: 'dry_hop', grams: 10 },
      { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 20 },
      { hop: 'Saaz', form: 'pellet_90', stage: 'mash', grams: 18 },
      { hop: 'Perle', form: 'pellet_90', stage: 'mash', grams: 0 },
    ],
    totals: { hop_g: 48, hop_g_per_l: 2.4, cost: 3.5 },
    worst_miss: 0,
    ...change,
  }) as unknown as Blend;

describe('a blend shown in place of the designed one', () => {
  it('lists its hops once, the heaviest first', () => {
    expect(hopsOf(blend())).toEqual(['Saaz', 'Citra']);
  });

  it('is titled by its hops and what it comes to', () => {
    const standIn = alternativeStandIn(blend({ proof: proof({}) }), evidence, brief, 'metric');
    expect(standIn.title).toBe('With Saaz and Citra: 48\u00a0g, 2.4\u00a0g/L');
    expect(standIn.note).toMatch(/^Proven: the lightest /);
    expect(standIn.designed).toBe(true);
  });

  it('does not say proven when it is not', () => {
    const open = proof({ status: 'within_gap', gap: 0.021 });
    expect(alternativeStandIn(blend({ proof: open }), evidence, brief, 'metric').note).toMatch(
      /^Within 2.1\u00a0% of the lightest /,
    );
    const near = blend({ proof: proof({ status: 'closest' }), worst_miss: 0.52 });
    expect(alternativeStandIn(near, evidence, brief, 'metric')).toMatchObject({
      note: 'Misses by up to 0.5.',
      designed: false,
    });
  });

  it('is a point of a curve with its widening or its price', () => {
    const point = { hop_g: 30, cost: 5.2, slack: 0.3, blend: blend(), proof: proof({}), evidence };
    expect(pointStandIn(point, 'closeness', 'metric').title).toBe(
      'Blend of 30\u00a0g with every wish widened by 0.3',
    );
    expect(pointStandIn({ ...point, slack: 0 }, 'closeness', 'metric').title).toBe(
      'Blend of 30\u00a0g with every wish as stated',
    );
    expect(pointStandIn(point, 'cost', 'metric').title).toBe('Blend of 30\u00a0g for 5.20');
  });
});
