// What the doubt panel says: unknowns by name and told apart, axes worth asking about, what would help.
import { describe, expect, it } from 'vitest';
import { SEED_BRIEFS } from '#seeds/index.ts';
import type { Blend } from '#shared/answers/answer.ts';
import { AXES, type AxisId } from '#shared/ids.ts';
import type { AxisDoubt, Doubt, Swing } from '#shared/answers/doubt.ts';
import {
  doubtSentences,
  doubtfulAxes,
  furthestWish,
  unknownNames,
  wholeSentence,
} from '#wording/doubts.ts';

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
    expect(names).toEqual([
      'Odour threshold of linalool',
      'Dry-hop yield at low load, free thiols',
    ]);
  });

  it('of lots of one hop are told apart', () => {
    const names = unknownNames([swing({}), swing({ form: 'pellet_enriched' }), swing({})]);
    expect(new Set(names).size).toBe(3);
    expect(names[1]).toContain('lupulin-enriched');
  });
});

describe('the axes', () => {
  const { brief } = SEED_BRIEFS[0]!;
  const axes = (over: Partial<Record<AxisId, number>>) =>
    Object.fromEntries(
      AXES.map((axis, i) => {
        const intensity = over[axis] ?? 0.2;
        return [axis, { intensity, low: intensity - 0.1, high: intensity + 0.02 * (i + 1) }];
      }),
    ) as unknown as Blend['axes'];
  const target = {
    tropical: { aim: 4, within: 0.3 },
    citrus: { at_least: 3 },
    resin: { at_most: 2 },
  };
  const asked = { ...brief, target };

  it('begin with the wish the blend is furthest from, missed or within its room', () => {
    const missed = { axes: axes({ tropical: 3.9, citrus: 3.5, resin: 2.6, floral: 2 }) };
    expect(furthestWish(asked, missed)).toBe('resin');
    expect(doubtfulAxes(asked, missed).slice(0, 3)).toEqual(['resin', 'tropical', 'citrus']);
    const met = { axes: axes({ tropical: 3.7, citrus: 3.5, resin: 1 }) };
    expect(furthestWish(asked, met)).toBe('tropical');
    const there = { axes: axes({ tropical: 4, citrus: 3, resin: 2 }) };
    expect(furthestWish(asked, there)).toBeNull();
  });

  it('go on with what can be smelled, and leave out what cannot', () => {
    const blend = { axes: axes({ tropical: 4, citrus: 3, resin: 2, floral: 2 }) };
    expect(doubtfulAxes(asked, blend)).toContain('floral');
    expect(doubtfulAxes(asked, blend).indexOf('floral')).toBe(3);
    expect(doubtfulAxes(asked, { axes: axes({}) })).not.toContain('stone_fruit');
  });
});

describe('the sentences', () => {
  it('name what moves the whole blend, each unknown once by the aroma it moves furthest', () => {
    const finding = {
      berry: doubt,
      resin: {
        ...doubt,
        swings: [
          swing({ at_low: 1, at_high: 3 }),
          swing({ id: 'myrcene_pct_of_oil', at_low: 2, at_high: 3.5 }),
        ],
      },
      woody_earthy: {
        ...doubt,
        swings: [
          swing({
            kind: 'threshold',
            id: 'linalool',
            hop: null,
            form: null,
            at_low: 2,
            at_high: 3,
          }),
        ],
      },
    } as unknown as Doubt;
    expect(wholeSentence(finding, ['berry', 'resin', 'woody_earthy'])).toBe(
      'What moves the whole blend most: Citra: 4MSP (resin, by 2.0), Citra: myrcene (resin, by 1.5) and the odour threshold of linalool (woody/earthy, by 1.0).',
    );
    expect(wholeSentence(finding, [])).toBeNull();
  });

  it('name the lot worth analysing, or say that none is', () => {
    const text = doubtSentences('berry', doubt).join(' ');
    expect(text).toContain('Berry is 3.0, 2.0 to 4.0');
    expect(text).toContain('The most useful lot analysis is that of Citra, type 90 pellet');
    expect(text).toContain('26\u00a0% narrower');
    const none = { ...doubt, if_analysed: [{ ...doubt.if_analysed[0]!, narrower: 0.02 }] };
    expect(doubtSentences('berry', none).join(' ')).toContain('No analysis of a single lot');
  });
});
