// The pieces of an axis: they fill the bar, stand in the order of the brew day, and small ones fold.
import { describe, expect, it } from 'vitest';
import { AXES, type AxisId } from '#shared/ids.ts';
import { type StageKind } from '#shared/stages/kinds.ts';
import type { Contribution } from '#shared/answers/answer.ts';
import { SINGLE_HOP_PROCESS } from '#engine/answer/alone.ts';
import { namedShares, sharesOf } from '#charts/bars/shares.ts';

const { stages } = SINGLE_HOP_PROCESS;

const part = (hop: string | null, stage: StageKind, share: number | null): Contribution => ({
  addition: hop === null ? null : { hop, form: 'pellet_90', stage, grams: 10 },
  axes: Object.fromEntries(AXES.map((a) => [a, { signal: share ?? 0, share }])) as Record<
    AxisId,
    { signal: number; share: number | null }
  >,
});

describe('shares', () => {
  it('stand by stage, the largest first, the malt last, and fill the bar', () => {
    const pieces = sharesOf(
      [
        part(null, 'mash', 0.2),
        part('Citra', 'dry_hop', 0.1),
        part('Saaz', 'dry_hop', 0.3),
        part('Citra', 'mash', 0.4),
      ],
      stages,
      'citrus',
    );
    expect(pieces.map((p) => p.hop)).toEqual(['Citra', 'Saaz', 'Citra', null]);
    expect(pieces.map((p) => p.start)).toEqual([0, 0.4, 0.7, expect.closeTo(0.8, 12)]);
    const last = pieces.at(-1)!;
    expect(last.start + last.share).toBeCloseTo(1, 12);
  });

  it('join two lots of one hop at one stage and leave out what brings nothing', () => {
    const pieces = sharesOf(
      [part('Citra', 'mash', 0.25), part('Citra', 'mash', 0.75), part('Saaz', 'mash', 0)],
      stages,
      'floral',
    );
    expect(pieces).toEqual([
      { hop: 'Citra', stage: { key: 'mash', kind: 'mash' }, share: 1, start: 0 },
    ]);
    expect(sharesOf([part('Citra', 'mash', null)], stages, 'floral')).toEqual([]);
  });

  it('fold the small ones into a rest', () => {
    const pieces = sharesOf(
      [part('A', 'mash', 0.94), part('B', 'mash', 0.04), part('C', 'dry_hop', 0.02)],
      stages,
      'resin',
    );
    const { named, rest } = namedShares(pieces);
    expect(named.map((p) => p.hop)).toEqual(['A']);
    expect(rest).toBeCloseTo(0.06, 12);
  });
});
