// Bars of grams by stage: nothing lost, nothing invented, drawn to one scale, in places that stay.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { FORMS } from '#shared/ids.ts';
import { STAGE_KINDS } from '#shared/stages/kinds.ts';
import { SINGLE_HOP_PROCESS } from '#engine/answer/alone.ts';
import { amongSeen, doseLanes, mostFor, type ShownDose } from '#charts/bars/doses.ts';

const { stages } = SINGLE_HOP_PROCESS;

const additions = fc.array(
  fc.record({
    hop: fc.constantFrom('Alder', 'Birch', 'Cedar'),
    form: fc.constantFrom(...FORMS),
    stage: fc.constantFrom(...STAGE_KINDS),
    grams: fc.integer({ min: 0, max: 500 }),
  }),
  { maxLength: 12 },
);
const sum = (numbers: readonly number[]) => numbers.reduce((a, b) => a + b, 0);

describe('bars of grams', () => {
  it('hold every addition once, in the lane of its stage', () => {
    fc.assert(
      fc.property(additions, (list: ShownDose[]) => {
        const lanes = doseLanes(list, stages, mostFor(list));
        const places = lanes.flatMap(({ bars }) => bars.map(({ at }) => at));
        expect(places.toSorted((a, b) => a - b)).toEqual(list.map((_, at) => at));
        for (const { stage, grams, bars } of lanes) {
          expect(bars.every((bar) => list[bar.at]!.stage === stage.key)).toBe(true);
          expect(grams).toBe(sum(bars.map((bar) => list[bar.at]!.grams)));
        }
      }),
    );
  });

  it('have each a key of its own, which goes with the lot and not with its place', () => {
    const keysOf = (list: readonly ShownDose[]) =>
      doseLanes(list, stages, mostFor(list)).flatMap(({ bars }) => bars.map(({ key }) => key));
    fc.assert(
      fc.property(additions, (list: ShownDose[]) => {
        const keys = keysOf(list);
        expect(new Set(keys).size).toBe(list.length);
        expect(keysOf(list.toReversed()).toSorted()).toEqual(keys.toSorted());
      }),
    );
  });

  it('tell two lots of one hop apart by what is known of them, or else by number', () => {
    const lot = { hop: 'Alder', form: FORMS[0], stage: STAGE_KINDS[0]!, grams: 20 };
    const wordsOf = (list: readonly ShownDose[]) =>
      doseLanes(list, stages, 50).flatMap(({ bars }) => bars.map((bar) => bar.lot));
    expect(wordsOf([lot])).toEqual(['']);
    expect(wordsOf([{ ...lot, analysis: { alpha_pct: 9.14 } }, lot])).toEqual([
      '9.1 % alpha acids',
      'lot 2',
    ]);
    fc.assert(
      fc.property(additions, fc.array(fc.constantFrom(5, 9, 14)), (drawn: ShownDose[], alphas) => {
        const list = drawn.map((dosed, i) => {
          const alpha_pct = alphas[i];
          return alpha_pct === undefined ? dosed : { ...dosed, analysis: { alpha_pct } };
        });
        const bars = doseLanes(list, stages, mostFor(list)).flatMap((lane) => lane.bars);
        const said = bars.map(({ hop, form, stage, lot }) => `${hop}|${form}|${stage}|${lot}`);
        expect(new Set(said).size).toBe(list.length);
      }),
    );
  });

  it('are as long as they are heavy, with room to be dragged longer', () => {
    fc.assert(
      fc.property(additions, (list: ShownDose[]) => {
        const most = mostFor(list);
        for (const bar of doseLanes(list, stages, most).flatMap(({ bars }) => bars)) {
          expect(bar.length).toBeCloseTo(bar.grams / most, 12);
          expect(bar.length).toBeLessThanOrEqual(0.8 + 1e-12);
        }
      }),
    );
    expect(mostFor([])).toBe(1);
  });

  it('keep the order of the blend they follow', () => {
    fc.assert(
      fc.property(additions, additions, (earlier: ShownDose[], list: ShownDose[]) => {
        const key = ({ hop, form, stage }: ShownDose) => `${hop}|${form}|${stage}`;
        const before = [...new Map(earlier.map((dosed) => [key(dosed), dosed])).values()];
        const order = before.map(key);
        for (const { bars } of doseLanes(list, stages, mostFor(list), before)) {
          const known = bars.map((bar) => order.indexOf(key(bar))).filter((at) => at >= 0);
          expect(known).toEqual(known.toSorted((a, b) => a - b));
        }
      }),
    );
    const [a, b] = ['Alder', 'Birch'].map((hop) => ({
      hop,
      form: FORMS[0],
      stage: STAGE_KINDS[0]!,
      grams: 20,
    })) as [ShownDose, ShownDose];
    const put = [a, b, { ...a, grams: 5 }];
    const [lane] = doseLanes(put, stages, 50, put);
    expect(lane!.bars.map(({ hop, grams }) => `${hop} ${grams}`)).toEqual([
      'Alder 20',
      'Alder 5',
      'Birch 20',
    ]);
  });

  it('stay while a hand holds, at 0 g where the blend has it no more, and new ones come last', () => {
    const dose = (hop: string, grams: number): ShownDose => ({
      hop,
      form: 'pellet_90',
      stage: 'dry_hop',
      grams,
    });
    const first = [dose('Citra', 60), dose('Azacca', 20)];
    const second = amongSeen([dose('Galaxy', 5), dose('Citra', 40)], first);
    expect(second.map(({ hop, grams }) => `${hop} ${grams}`)).toEqual([
      'Citra 40',
      'Azacca 0',
      'Galaxy 5',
    ]);
    const third = amongSeen([dose('Azacca', 9)], second);
    expect(third.map(({ hop, grams }) => `${hop} ${grams}`)).toEqual([
      'Citra 0',
      'Azacca 9',
      'Galaxy 0',
    ]);
    // Two lots of one hop at one stage are two bars.
    const twice = [dose('Citra', 10), dose('Citra', 30)];
    expect(amongSeen([dose('Citra', 7)], twice).map(({ grams }) => grams)).toEqual([7, 0]);
  });
});
