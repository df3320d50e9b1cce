// The verb hops: every variety alone in the dry hop, as the contract of the command line says it; and the
// switch that leaves out what tasters report.
import { describe, expect, it } from 'vitest';
import { AXES, type AxisId } from '#shared/ids.ts';
import { cli } from './run.ts';

interface Listed {
  readonly name: string;
  readonly offered: boolean;
  readonly axes: Readonly<
    Record<AxisId, { readonly intensity: number; readonly low: number; readonly high: number }>
  >;
  readonly cells: object;
}
async function hops(...options: string[]): Promise<Listed[]> {
  const { code, out, err } = await cli(['hops', '--json', ...options]);
  expect([code, err]).toEqual([0, '']);
  return (JSON.parse(out) as { hops: Listed[] }).hops;
}
const named = (all: readonly Listed[], name: string) => all.find((hop) => hop.name === name)!;

describe('hops', async () => {
  const usual = await hops();

  it('gives every variety of the table its ten axes with bands, and its cells', () => {
    expect(usual.length).toBe(121);
    expect(usual.filter((hop) => hop.offered).length).toBe(81);
    for (const { axes, cells } of usual.filter((hop) => hop.offered)) {
      expect(Object.keys(axes)).toEqual([...AXES]);
      expect(Object.keys(cells).length).toBeGreaterThan(5);
      for (const { intensity, low, high } of Object.values(axes)) {
        expect(low).toBeLessThanOrEqual(intensity + 1e-9);
        expect(high).toBeGreaterThanOrEqual(intensity - 1e-9);
      }
    }
  });

  it('gives more of every note at a larger dose', async () => {
    const much = await hops('--dose', '8');
    for (const hop of usual.filter(({ offered }) => offered)) {
      for (const axis of AXES) {
        const more = named(much, hop.name).axes[axis].intensity;
        expect(more).toBeGreaterThanOrEqual(hop.axes[axis].intensity - 1e-9);
      }
    }
  });

  it('tells Citra from Saaz, and hardly does by compounds alone', async () => {
    const [citra, saaz] = [named(usual, 'Citra'), named(usual, 'Saaz')];
    // common practice, no source: Citra is a fruit hop, Saaz a herbal one.
    expect(citra.axes.tropical.intensity).toBeGreaterThan(citra.axes.floral.intensity + 0.5);
    expect(saaz.axes.herbal_spice.intensity).toBeGreaterThan(saaz.axes.tropical.intensity + 0.5);
    const alone = await hops('--compounds-only');
    const spread = (all: readonly Listed[], axis: AxisId) => {
      const figures = all.filter(({ offered }) => offered).map(({ axes }) => axes[axis].intensity);
      return Math.max(...figures) - Math.min(...figures);
    };
    for (const axis of ['tropical', 'stone_fruit', 'herbal_spice'] as const) {
      expect(spread(alone, axis)).toBeLessThan(spread(usual, axis));
    }
  });

  it('answers in text, a line a variety', async () => {
    const { code, out } = await cli(['hops', '--dose', '8']);
    expect(code).toBe(0);
    expect(out).toMatch(/^Each hop alone, 8 g\/L of type 90 in the dry hop/);
    expect(out).toMatch(/^Citra {2,}(tropical|citrus) \d/m);
  });

  it.each([
    [['hops', '--dose', '0'], '"0" is not a dose'],
    [['hops', '--dose', 'much'], '"much" is not a dose'],
    [['hops', 'seeds/briefs/tropical.json'], 'command line'],
  ])('refuses %j', async (args, expected) => {
    const { code, out, err } = await cli(args);
    expect([code, out]).toEqual([2, '']);
    expect(err).toContain(expected);
  });
});
