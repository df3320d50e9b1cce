// Long lists cut for the blend that follows a hand: few lots of each kind, those with the most on hand; and the
// blend still meets its wishes, however many lots there are.
import { describe, expect, it } from 'vitest';
import type { Candidate } from '#shared/schemas/lot.ts';
import { model } from '#engine/tables/model.ts';
import { finished } from '#optimize/pacing/clock.ts';
import { LiveBrief } from '#optimize/live/live.ts';
import { fewerLots } from '#optimize/live/long-lists.ts';
import { lotsOfOneHop } from '../support/large-lists.ts';

const lots = (count: number, hops: number): Candidate[] =>
  Array.from({ length: count }, (_, i) => ({
    hop: `Hop ${i % hops}`,
    form: i % 2 ? 'pellet_90' : 'cone',
    ...(i % 7 === 0 ? {} : { grams_on_hand: (i * 7919) % 1000 }),
  }));

describe('a long list for a blend that follows', () => {
  it('is whole where it is short', () => {
    const short = lots(400, 5);
    expect(fewerLots(short)).toBe(short);
  });

  it('keeps the lots with the most on hand of each hop and form, in their order', () => {
    for (const [count, hops] of [
      [401, 1],
      [5000, 20],
      [3000, 300],
      [900, 900],
    ] as const) {
      const all = lots(count, hops);
      const kept = fewerLots(all);
      expect(kept).toEqual(all.filter((lot) => kept.includes(lot)));
      const kindOf = ({ hop, form }: Candidate) => `${hop} ${form}`;
      const kinds = new Set(all.map(kindOf));
      expect(new Set(kept.map(kindOf))).toEqual(kinds);
      expect(kept.length).toBeLessThanOrEqual(Math.max(150, kinds.size));
      const onHand = (lot: Candidate) => lot.grams_on_hand ?? Infinity;
      for (const kind of [...kinds].slice(0, 20)) {
        const own = all.filter((lot) => kindOf(lot) === kind);
        const [inside, outside] = [true, false].map((is) =>
          own.filter((lot) => kept.includes(lot) === is).map(onHand),
        );
        expect(inside!.length).toBeLessThanOrEqual(24);
        expect(Math.min(...inside!)).toBeGreaterThanOrEqual(Math.max(0, ...outside!));
      }
    }
  });

  it('meets wishes that take many lots', () => {
    const brief = lotsOfOneHop(2000);
    const ready = finished(LiveBrief.of(model, brief));
    if (!ready.ok) throw new Error(JSON.stringify(ready.problems));
    const [axis] = Object.keys(brief.target);
    const target = { ...brief.target, [axis!]: { at_least: 2 } };
    const hop = (brief.candidates as readonly Candidate[])[0]!.hop;
    const blend = finished(ready.value.blendFor(target, [hop]));
    if (!blend.ok) throw new Error(JSON.stringify(blend.problems));
    expect(new Set(blend.value.additions.map((a) => JSON.stringify(a.analysis))).size).toBeLessThan(
      25,
    );
  });
});
