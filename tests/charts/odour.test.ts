// Odour activity bars: strongest first, around the threshold, the unknown named and not drawn as 0.
import { describe, expect, it } from 'vitest';
import type { CompoundAnswer } from '#shared/answers/prediction.ts';
import { COMPOUNDS, type CompoundId } from '#shared/ids.ts';
import { odourChart } from '#charts/bars/odour.ts';

function compounds(
  known: Partial<Record<CompoundId, [low: number, oav: number, high: number]>>,
): Record<CompoundId, CompoundAnswer> {
  return Object.fromEntries(
    COMPOUNDS.map((c) => {
      const [oav_low, oav, oav_high] = known[c] ?? [null, null, null];
      return [c, { ug_per_l: 1, low: 1, high: 1, oav, oav_low, oav_high }];
    }),
  ) as Record<CompoundId, CompoundAnswer>;
}

describe('odour chart', () => {
  const chart = odourChart(
    compounds({ linalool: [5, 20, 60], myrcene: [0.001, 0, 0.02], geraniol: [0.2, 0.5, 1.5] }),
  );

  it('sorts from the strongest down and leaves the unknown out of the bars', () => {
    expect(chart.bars.map((b) => b.compound)).toEqual(['linalool', 'geraniol', 'myrcene']);
  });

  it('puts what is smelled right of the threshold and the rest left of it', () => {
    const at = (c: string) => chart.bars.find((b) => b.compound === c)!.at;
    expect(at('linalool').value).toBeGreaterThan(chart.threshold);
    expect(at('geraniol').value).toBeLessThan(chart.threshold);
    expect(at('geraniol').band!.high).toBeGreaterThan(chart.threshold);
  });

  it('stands a zero on the edge and keeps every place inside', () => {
    expect(chart.bars.at(-1)!.at.value).toBe(0);
    for (const { at } of chart.bars) {
      for (const place of [at.value, at.band!.low, at.band!.high]) {
        expect(place).toBeGreaterThanOrEqual(0);
        expect(place).toBeLessThanOrEqual(1);
      }
    }
  });

  it('steps by equal lengths per factor of ten, from 0.01 to the decade above the highest end', () => {
    expect(chart.ticks.map((t) => t.value)).toEqual([0.01, 0.1, 1, 10, 100]);
    const gaps = chart.ticks.slice(1).map((t, i) => t.at - chart.ticks[i]!.at);
    for (const gap of gaps) expect(gap).toBeCloseTo(0.25, 12);
    expect(chart.ticks[2]!.at).toBeCloseTo(chart.threshold, 12);
  });
});
