// The step that cools the wort: to the pitching temperature, or further, so that wort and the hot liquor of a
// steep reach it when they are mixed.
import { SPENT_HOPS_CAUTION } from '#shared/answers/cautions.ts';
import { kindNamed } from '#shared/stages/kinds.ts';
import type { StageUse } from '#shared/stages/stages.ts';
import {
  figure,
  ofKind,
  usual,
  weighOuts,
  type Of,
  type StepDraft,
  type StepsAsked,
} from './draft.ts';
import { spargeCut } from './dilution.ts';
import { massOf, type Liquid } from './liquid.ts';
import { mixed, wortTempFor } from './mixing.ts';

/** Gravity taken for the heat of wort whose gravity is not known: an error below 0.1 C. */
const HEAT_GRAVITY = 1.05;

type LiquorSteep = Of<'hot_steep'> & { readonly liquorL: number };

/** How the wort is chilled so that liquor of its own and wort meet at the pitching temperature. */
export function coolingSteps(asked: StepsAsked, uses: readonly StageUse[]): StepDraft[] {
  const { model, design, settings } = asked;
  const { beer_l, gravity_sg: gravity } = design.batch;
  const steeps = ofKind(uses, 'hot_steep').flatMap((use): LiquorSteep[] =>
    use.conditions.liquor_l !== undefined && weighOuts(design, use.key).length > 0
      ? [{ ...use, liquorL: use.conditions.liquor_l }]
      : [],
  );
  const pitch = figure('Pitching temperature', settings.pitchTemp, 'C', {
    ...usual(settings.pitchWindow !== null),
    ...(settings.pitchWindow ?? {}),
  });
  const hasHops = uses.some(
    (use) => use.kind !== 'dry_hop' && weighOuts(design, use.key).length > 0,
  );
  const left = {
    behind: `Leave the ${hasHops ? 'hops and the ' : ''}break behind in the kettle.`,
    cautions: hasHops ? [SPENT_HOPS_CAUTION] : [],
  };
  const liquor = steeps.reduce((sum, s) => sum + s.liquorL, 0);
  const cut =
    liquor > 0 ? spargeCut({ volume_l: beer_l, gravity_sg: gravity ?? null }, liquor) : null;
  if (!cut) {
    return [
      {
        kind: 'chill',
        title: 'Chill',
        vessel: 'Cooler',
        figures: [pitch],
        instructions: [
          ...(liquor > 0
            ? ['The liquor of the steep is as much as the whole batch: use less of it.']
            : []),
          left.behind,
        ],
        cautions: left.cautions,
      },
    ];
  }
  const hot = mixed(
    model,
    steeps.map(({ liquorL, conditions }): Liquid => {
      const kg = massOf({ volume_l: liquorL, temp_c: 20, gravity_sg: 1 });
      const at = { volume_l: 1, temp_c: conditions.temp_c, gravity_sg: 1 };
      return { ...at, volume_l: kg / massOf(at) };
    }),
  );
  const wort = { volume_l: cut.wort_l, gravity_sg: cut.gravity_sg ?? HEAT_GRAVITY };
  const found = wortTempFor(model, wort, hot, settings.pitchTemp, settings.coldestWort);
  const temp = found.ok ? found.value : settings.coldestWort;
  const reached = mixed(model, [{ ...wort, temp_c: temp }, hot]);
  return [
    {
      kind: 'chill',
      title: 'Chill the wort',
      vessel: 'Cooler',
      figures: [
        figure('Wort to', temp, 'C'),
        figure('Wort into the fermenter', cut.wort_l, 'L'),
        ...(cut.gravity_sg === null ? [] : [figure('Its gravity', cut.gravity_sg, 'SG')]),
      ],
      instructions: [left.behind],
      cautions: left.cautions,
    },
    {
      kind: 'join',
      title: 'Run in the liquor of the steep',
      vessel: 'Fermenter',
      figures: [
        figure('Liquor', liquor, 'L'),
        figure('Liquor at', hot.temp_c, 'C'),
        figure('Wort and liquor reach', reached.temp_c, 'C'),
        ...(gravity === undefined ? [] : [figure('Gravity of both', gravity, 'SG')]),
      ],
      instructions: [
        'Run it in under the surface, without splashing, before the yeast.',
        ...(found.ok ? [] : [`Too hot to pitch: ${found.problems[0]!.cure}.`]),
      ],
      cautions: kindNamed('hot_steep').cautions,
    },
  ];
}
