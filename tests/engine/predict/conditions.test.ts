// A beer is compiled once for all figures of its conditions: whichever of them changes, the prediction is to
// the last bit what one that was compiled for it gives. Asked of every figure of every kind of stage.
import { describe, expect, it } from 'vitest';
import { predict } from '#engine/answer/answer.ts';
import type { Design } from '#engine/predict/design.ts';
import { compiledBeer } from '#engine/predict/predict.ts';
import { conditionIn, shapeOf } from '#engine/process/process.ts';
import { model } from '#engine/tables/model.ts';
import type { Schedule } from '#shared/schemas/brief.ts';
import { KINDS, STAGE_KINDS, type StageKind } from '#shared/stages/kinds.ts';
import { usualStage } from '#shared/stages/naming.ts';
import { scheduleOf, soundDesign } from '../support/examples.ts';

const SAMPLING = { samples: 20, seed: 20 };
/** A day of dry hopping, litres of liquor. */
const OPTIONAL = 7;

/** A stage of a kind with all its parts. */
function stageOf(kind: StageKind, choice: boolean, optional: boolean) {
  const { fields } = KINDS[kind];
  return {
    ...usualStage(kind, kind),
    ...Object.fromEntries((fields.choices ?? []).map(({ field }) => [field, choice])),
    ...Object.fromEntries((fields.parts ?? []).map(({ field, starts }) => [field, starts])),
    ...(optional &&
      Object.fromEntries(
        fields.figures.filter((f) => f.optional).map(({ field }) => [field, OPTIONAL]),
      )),
  };
}

/** One hop in a stage of each kind. */
function brewed(choice: boolean, optional: boolean): Schedule {
  const stages = STAGE_KINDS.map((kind) => [kind, stageOf(kind, choice, optional)]);
  return scheduleOf(
    STAGE_KINDS.map((stage) => ({ hop: 'Citra', form: 'pellet_90', stage, grams: 60 })),
    { stages: Object.fromEntries(stages) as Schedule['stages'] },
  );
}

/** Where the figures of a part of a document stand. */
function figuresIn(of: object, path: string): string[] {
  return Object.entries(of).flatMap(([name, value]: [string, unknown]) => {
    if (typeof value === 'number') return [`${path}.${name}`];
    return typeof value === 'object' && value ? figuresIn(value, `${path}.${name}`) : [];
  });
}

/** The same with one figure larger. */
function moved(schedule: Schedule, path: string): Schedule {
  const next = structuredClone(schedule);
  const names = path.split('.');
  const last = names.pop()!;
  const holder = names.reduce<Record<string, unknown>>(
    (of, name) => of[name] as Record<string, unknown>,
    next as unknown as Record<string, unknown>,
  );
  holder[last] = 1.07 * conditionIn(schedule, path);
  return next;
}

const predicted = (design: Design, of = model) => predict(of, design, SAMPLING);

describe.each([
  [false, false],
  [false, true],
  [true, false],
  [true, true],
])('a beer compiled once, choices %s, what may be left out %s', (choice, optional) => {
  const schedule = brewed(choice, optional);
  const before = soundDesign(schedule);
  const paths = [...figuresIn(schedule.batch, 'batch'), ...figuresIn(schedule.stages, 'stages')];

  it.each(paths)('follows %s', (path) => {
    const plain = predicted(before);
    const after = soundDesign(moved(schedule, path));
    expect(compiledBeer(model, after)).toBe(compiledBeer(model, before));
    expect(predicted(after)).toEqual(predicted(after, { ...model }));
    expect(predicted(before), 'and back').toEqual(plain);
  });

  it('is moved by figures of every stage', () => {
    const plain = predicted(before);
    const moving = paths.filter(
      (path) =>
        JSON.stringify(predicted(soundDesign(moved(schedule, path)))) !== JSON.stringify(plain),
    );
    for (const kind of STAGE_KINDS) {
      expect(
        moving.some((path) => path.startsWith(`stages.${kind}.`)),
        kind,
      ).toBe(true);
    }
    expect(moving).toContain('batch.beer_l');
    expect(moving).toContain('batch.malt_g_per_l');
  });

  it('is another where a stage is otherwise than by its figures', () => {
    expect(shapeOf(soundDesign(brewed(!choice, optional)))).not.toBe(shapeOf(before));
    expect(shapeOf(soundDesign(brewed(choice, !optional)))).not.toBe(shapeOf(before));
  });
});
