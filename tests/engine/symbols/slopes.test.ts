// The slopes of a beer by its figures, walked backwards, against plain differences of the forward run.
import { describe, expect, it } from 'vitest';
import { AXES } from '#shared/ids.ts';
import { Beer } from '#engine/predict/beer.ts';
import { processOf } from '#engine/process/process.ts';
import { Program } from '#engine/symbols/program.ts';
import { Slopes } from '#engine/symbols/slopes.ts';
import { exp, least, ln, log10, minus, most, num, over, power, sum } from '#engine/symbols/term.ts';
import type { Leaf, Term } from '#engine/symbols/term.ts';
import { model } from '#engine/tables/model.ts';
import { scheduleOf, soundDesign } from '../support/examples.ts';

const OWNER = { owner: 'a test' };
const figure = (name: string): Leaf => ({ ...num(1), input: { of: OWNER, name } });

function slopesAt(term: Term, values: readonly number[]): number[] {
  const program = new Program([term]);
  return [...new Slopes(program).at(values).of(0)];
}

describe('slopes', () => {
  const [a, b] = [figure('a'), figure('b')];

  it.each<[string, Term, number[]]>([
    ['a sum', sum(a, b, a), [2, 1]],
    ['a difference', minus(a, b), [1, -1]],
    ['a quotient', over(a, b), [1 / 3, -2 / 9]],
    ['a power', power(a, b), [12, 8 * Math.LN2]],
    ['the least', least(a, b), [1, 0]],
    ['the most', most(a, b), [0, 1]],
    ['an exponential', sum(exp(a), b), [Math.exp(2), 1]],
    ['a logarithm', sum(ln(a), b), [1 / 2, 1]],
    ['a decimal logarithm', sum(log10(a), b), [1 / (2 * Math.LN10), 1]],
  ])('of %s are those of the rule', (_, term, slopes) => {
    slopesAt(term, [2, 3]).forEach((slope, i) => expect(slope).toBeCloseTo(slopes[i]!, 12));
  });

  it('of every aroma of a beer are what a small change makes of it', () => {
    const design = soundDesign(
      scheduleOf([
        { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 80 },
        { hop: 'Cascade', form: 'pellet_90', stage: 'hot_steep', grams: 60 },
        { hop: 'Saaz', form: 'cone', stage: 'mash', grams: 50 },
      ]),
    );
    const beer = new Beer(processOf(model, design.batch, design.stages), design.additions);
    const program = new Program([
      ...AXES.map((axis) => beer.intensity(axis)),
      beer.bitterness('ibu'),
    ]);
    const values = program.externals.map(({ value }) => value);
    const at = new Slopes(program).at(values);
    for (let output = 0; output <= AXES.length; output += 1) {
      const slopes = at.of(output);
      values.forEach((value, i) => {
        const step = 1e-5 * Math.max(Math.abs(value), 1e-6);
        const moved = (by: number) =>
          new Slopes(program).at(values.map((v, j) => (j === i ? v + by : v))).value(output);
        const [up, down] = [moved(step), moved(-step)];
        // At a corner the one-sided slopes differ: there either will do.
        const sides = [(up - at.value(output)) / step, (at.value(output) - down) / step];
        const [low, high] = [Math.min(...sides), Math.max(...sides)];
        const room = 1e-3 * Math.max(Math.abs(low), Math.abs(high)) + 1e-9 / step;
        expect(slopes[i]!).toBeGreaterThanOrEqual(low - room);
        expect(slopes[i]!).toBeLessThanOrEqual(high + room);
      });
    }
  });
});
