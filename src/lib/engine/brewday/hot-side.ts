// The steps of the mash, the boil and the steeps, each with its figures, weigh-outs and cautions. What these
// steps state as practice of the trade has no source; figures come from the schedule and the balances.
import { kindNamed, stageName } from '#shared/stages/kinds.ts';
import type { SheetFigure } from '#shared/answers/sheet.ts';
import type { StageUse } from '#shared/stages/stages.ts';
import { figure, ofKind, usual, weighOuts, type StepDraft, type StepsAsked } from './draft.ts';
import { spargeCut, type SpargeCut } from './dilution.ts';
import { kettleOf, type Kettle } from './kettle.ts';
import { strikeTemp } from './strike.ts';
import { wortLosses } from './wort-losses.ts';

function mashSteps(
  { model, design, settings }: StepsAsked,
  uses: readonly StageUse[],
): StepDraft[] {
  const { batch } = design;
  const malt_kg = (batch.malt_g_per_l * batch.beer_l) / 1000;
  return ofKind(uses, 'mash').flatMap(({ key, conditions }, i): StepDraft[] => {
    const weigh = weighOuts(design, key);
    const liquor = malt_kg * settings.liquorPerKg;
    const strike = { malt_kg, malt_temp_c: settings.maltTemp, liquor_kg: liquor };
    const heat: StepDraft[] =
      i > 0 || malt_kg === 0
        ? []
        : [
            {
              kind: 'strike',
              title: 'Heat the strike liquor',
              vessel: 'Liquor tank',
              figures: [
                figure('Malt', malt_kg, 'kg'),
                figure('Strike liquor', liquor, 'L', usual(settings.isUsual('liquor_l_per_kg'))),
                figure(
                  'Strike at',
                  strikeTemp(model, { ...strike, mash_temp_c: conditions.temp_c }),
                  'C',
                ),
                figure('Malt at', settings.maltTemp, 'C', usual(settings.isUsual('malt_temp_c'))),
              ],
              instructions: ['Warm the tun first: the figure counts no heat lost to cold metal.'],
              cautions: kindNamed('hot_steep').cautions,
            },
          ];
    return [
      ...heat,
      {
        kind: 'mash',
        title: stageName(key),
        stage: key,
        vessel: 'Mash tun',
        timer_min: conditions.minutes,
        weigh,
        figures: [
          figure('Mash at', conditions.temp_c, 'C'),
          figure('Rest', conditions.minutes, 'min'),
        ],
        instructions:
          weigh.length > 0
            ? ['Stir the hops in with the malt, at the strike: what they hold bound must dissolve.']
            : ['Stir in the malt, and check the temperature in several places.'],
      },
    ];
  });
}

/**
 * What the kettle must give where liquor of steeps is added later; `null` where that liquor is the whole batch.
 */
function collected({ design }: StepsAsked, uses: readonly StageUse[]): SpargeCut | null {
  const { beer_l, gravity_sg } = design.batch;
  const liquor = ofKind(uses, 'hot_steep')
    .filter(({ key }) => weighOuts(design, key).length > 0)
    .reduce((sum, { conditions }) => sum + (conditions.liquor_l ?? 0), 0);
  return spargeCut({ volume_l: beer_l, gravity_sg: gravity_sg ?? null }, liquor);
}

/** The step that leaves the liquor of a steep out of the sparge, so that volume and gravity stay right. */
function spargeSteps(asked: StepsAsked, uses: readonly StageUse[]): StepDraft[] {
  const cut = collected(asked, uses);
  if (!cut || cut.liquor_l === 0) return [];
  return [
    {
      kind: 'sparge',
      title: 'Sparge with less',
      vessel: 'Mash tun',
      figures: [
        figure('Leave out of the sparge', cut.liquor_l, 'L'),
        ...(cut.gravity_sg === null
          ? []
          : [figure('Gravity at the end of the boil', cut.gravity_sg, 'SG')]),
      ],
      instructions: [
        'The liquor of the steep takes its place: the wort is less and stronger until it joins.',
        'A shorter sparge leaves some extract in the grain: check the gravity before the boil.',
      ],
    },
  ];
}

/** What must be in the kettle to get what is wished in the fermenter. */
function kettleIn(
  asked: StepsAsked,
  uses: readonly StageUse[],
  boilMinutes: number,
): Kettle | null {
  const { model, design, settings } = asked;
  const cut = collected(asked, uses);
  return (
    cut &&
    kettleOf({
      ...cut,
      held_l: wortLosses(model, design).kettle_l,
      left_share: settings.kettleLoss,
      boil_h: boilMinutes / 60,
      off_per_h: settings.evaporation,
    })
  );
}

function kettleFigures({ settings }: StepsAsked, kettle: Kettle): SheetFigure[] {
  const { before_l, before_hot_l, before_sg, off_l, left_l } = kettle;
  return [
    figure('Pre-boil volume, cold', before_l, 'L'),
    figure('Pre-boil volume, boiling', before_hot_l, 'L'),
    ...(before_sg === null ? [] : [figure('Pre-boil gravity', before_sg, 'SG')]),
    figure('Boiled off', off_l, 'L', usual(settings.isUsual('evaporation_pct_per_h'))),
    figure('Left in the kettle', left_l, 'L', usual(settings.isUsual('kettle_loss_pct'))),
  ];
}

function boilSteps(asked: StepsAsked, uses: readonly StageUse[]): StepDraft[] {
  const { design } = asked;
  const boils = ofKind(uses, 'boil')
    .map((use) => ({ use, weigh: weighOuts(design, use.key) }))
    .filter(({ weigh }) => weigh.length > 0)
    .sort((a, b) => b.use.conditions.minutes - a.use.conditions.minutes);
  const lengths = ofKind(uses, 'mash').map(({ conditions }) => conditions.boil_minutes);
  const length = Math.max(0, ...lengths, ...boils.map(({ use }) => use.conditions.minutes));
  if (length === 0) return [];
  const kettle = kettleIn(asked, uses, length);
  return [
    {
      kind: 'boil',
      title: 'Boil',
      vessel: 'Kettle',
      timer_min: length,
      figures: [
        figure('Boil', length, 'min', usual(lengths.length === 0)),
        ...(kettle ? kettleFigures(asked, kettle) : []),
      ],
      instructions: ['Let it come to a rolling boil before the clock starts.'],
      cautions: kindNamed('boil').cautions,
    },
    ...boils.map(({ use, weigh }, i): StepDraft => ({
      kind: 'boil_hops',
      title: `${stageName(use.key)}: hops in`,
      stage: use.key,
      vessel: 'Kettle',
      // Minutes to the next addition, or to the end of the boil.
      timer_min: use.conditions.minutes - (boils[i + 1]?.use.conditions.minutes ?? 0),
      weigh,
      figures: [figure('Before the end of the boil', use.conditions.minutes, 'min')],
      instructions: ['Add them slowly, off to the side of the boil.'],
    })),
  ];
}

function steepSteps(asked: StepsAsked, uses: readonly StageUse[]): StepDraft[] {
  const { design } = asked;
  return ofKind(uses, 'hot_steep').flatMap((use): StepDraft[] => {
    const { key, conditions } = use;
    const { temp_c, minutes, closed, cooling, liquor_l } = conditions;
    const weigh = weighOuts(design, key);
    if (weigh.length === 0) return [];
    const common = {
      stage: key,
      timer_min: minutes,
      weigh,
      title: stageName(key),
      cautions: kindNamed('hot_steep').cautions,
    };
    const figures = [figure('Hold at', temp_c, 'C'), figure('For', minutes, 'min')];
    if (liquor_l !== undefined) {
      return [
        {
          ...common,
          kind: 'liquor_steep',
          vessel: closed ? 'Closed steep vessel, vented' : 'Steep vessel',
          figures: [figure('Liquor, measured cold', liquor_l, 'L'), ...figures],
          instructions: [
            'Boil the liquor first if it is not free of oxygen, then let it fall to the temperature.',
            'Stir the hops in, cover, and keep the temperature; keep air away from it until it joins.',
          ],
        },
      ];
    }
    return [
      {
        ...common,
        kind: 'hot_steep',
        vessel: closed ? 'Kettle, covered' : 'Kettle',
        figures: [
          ...figures,
          ...(cooling
            ? [figure('Then cool to', cooling.to_c, 'C'), figure('In', cooling.minutes, 'min')]
            : []),
        ],
        instructions: [
          'Bring the wort to the temperature before the hops go in.',
          cooling
            ? 'The hops stay in while it cools.'
            : 'Chill at once afterwards: bitterness goes on growing while it is hot.',
        ],
      },
    ];
  });
}

/** All steps until the wort is chilled, in order. */
export function hotSideSteps(asked: StepsAsked, uses: readonly StageUse[]): StepDraft[] {
  return [
    ...mashSteps(asked, uses),
    ...spargeSteps(asked, uses),
    ...boilSteps(asked, uses),
    ...steepSteps(asked, uses),
  ];
}
