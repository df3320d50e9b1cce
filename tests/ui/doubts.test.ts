// What the doubt panel says: unknowns by name and told apart, axes worth asking about, what would help.
import { describe, expect, it } from 'vitest';
import type { AxisDoubt, Swing } from '#shared/doubt.ts';
import { doubtSentences, unknownNames } from '#ui/doubts.ts';

const swing = (over: Partial<Swing>): Swing => ({
  kind: 'lot',
  id: 'msp4_ug_per_kg',
  hop: 'Citra',
  form: 'pellet_90',
  settled_by: 'lab',
  at_low: 1,
  at_high: 2,
  share: 0.4,
  ...over,
});
const doubt: AxisDoubt = {
  intensity: 3,
  low: 2,
  high: 4,
  swings: [swing({})],
  if_analysed: [{ hop: 'Citra', form: 'pellet_90', low: 2.5, high: 3.5, narrower: 0.257 }],
  if_all_analysed: { low: 2.4, high: 3.5 },
  if_science_settled: { low: 2.2, high: 3.9 },
};

describe('unknowns', () => {
  it('are called by lot and figure, threshold or process', () => {
    expect(unknownNames([swing({})])).toEqual(['Citra: 4MSP']);
    const science = { settled_by: 'science', hop: null, form: null } as const;
    const names = unknownNames([
      swing({ kind: 'threshold', id: 'linalool', ...science }),
      swing({ kind: 'parameter', id: 'dry_hop.yield.thiol', ...science }),
    ]);
    expect(names).toEqual(['Odour threshold, linalool', 'Dry-hop yield at low load, free thiols']);
  });

  it('of lots of one hop are told apart', () => {
    const names = unknownNames([swing({}), swing({ form: 'pellet_enriched' }), swing({})]);
    expect(new Set(names).size).toBe(3);
    expect(names[1]).toContain('lupulin-enriched');
  });
});

describe('the sentences', () => {
  it('name the lot worth analysing, or say that none is', () => {
    const text = doubtSentences('berry', doubt).join(' ');
    expect(text).toContain('Berry is 3.0, 2.0 to 4.0');
    expect(text).toContain('an analysis of Citra, type 90 pellet, is worth most');
    expect(text).toContain('26 % narrower');
    const none = { ...doubt, if_analysed: [{ ...doubt.if_analysed[0]!, narrower: 0.02 }] };
    expect(doubtSentences('berry', none).join(' ')).toContain('No analysis of a single lot');
  });
});
