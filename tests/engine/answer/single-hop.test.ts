// What one hop gives alone agrees with the prediction of the same schedule, and the place it earns
// follows from the yeast.
import { expect, test } from 'vitest';
import { predict } from '#engine/answer/answer.ts';
import { designOf } from '#engine/predict/design.ts';
import { model } from '#engine/tables/model.ts';
import { SINGLE_HOP_PROCESS } from '#engine/answer/alone.ts';
import { singleHop } from '#engine/answer/single-hop.ts';
import { AXES, YEASTS } from '#shared/ids.ts';
import { STAGE_KINDS } from '#shared/stages/kinds.ts';

test('each stage is the prediction of that schedule', () => {
  for (const yeast of YEASTS) {
    const given = singleHop(model, 'Cascade', 'pellet_90', yeast);
    if (!given.ok) throw new Error('no figures');
    for (const stage of STAGE_KINDS) {
      const design = designOf(model, {
        name: '',
        batch: { ...SINGLE_HOP_PROCESS.batch, yeast },
        stages: SINGLE_HOP_PROCESS.stages,
        additions: [{ hop: 'Cascade', form: 'pellet_90', stage, grams: 80 }],
      });
      if (!design.ok) throw new Error('no design');
      const { axes } = predict(model, design.value);
      const at = given.value.stages.find((s) => s.stage === stage)!;
      for (const axis of AXES) {
        expect(at.intensities[axis]).toBeCloseTo(axes[axis].intensity, 9);
      }
    }
  }
});

test('the best stage of an axis brings at least as much as any other', () => {
  for (const hop of model.hops) {
    const given = singleHop(model, hop.name, hop.forms[0]!, 'thiol_releasing');
    if (!given.ok) throw new Error(hop.name);
    for (const axis of AXES) {
      const best = given.value.best[axis];
      if (!best) continue;
      const at = Object.fromEntries(given.value.stages.map((s) => [s.stage, s.intensities[axis]]));
      expect(at[best]).toBe(Math.max(...given.value.stages.map((s) => s.intensities[axis])));
      expect(at[best]).toBeGreaterThanOrEqual(1);
      expect(at[best]).toBeGreaterThan(given.value.without[axis]);
    }
  }
});

// Common practice, no source: bound thiols pay before fermentation with a yeast that frees them.
test('a hop of high bound thiols makes more tropical fruit in the mash than with standard yeast', () => {
  const high = model.hops.filter((hop) => hop.precursor.tendency === 'high');
  expect(high.length).toBeGreaterThan(0);
  for (const hop of high) {
    const [standard, releasing] = YEASTS.map((yeast) => {
      const given = singleHop(model, hop.name, hop.forms[0]!, yeast);
      return given.ok ? given.value.stages.find((s) => s.stage === 'mash')! : null;
    });
    expect(releasing!.intensities.tropical).toBeGreaterThan(standard!.intensities.tropical);
  }
});

test('a hop nobody knows is refused', () => {
  expect(singleHop(model, 'no such hop', 'cone', 'standard').ok).toBe(false);
});
