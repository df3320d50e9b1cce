// The steps from pitching on: dry hops by their day, the cold crash, the package, keeping oxygen away. What
// these steps state as practice of the trade has no source.
import { LAW_CAUTION, SPENT_HOPS_CAUTION } from '#shared/answers/cautions.ts';
import { CREEP_CAUTION } from '#shared/stages/dry-hop.ts';
import { kindNamed, stageName } from '#shared/stages/kinds.ts';
import type { StageUse } from '#shared/stages/stages.ts';
import { brewDays } from './days.ts';
import { figure, usual, weighOuts, type StepDraft, type StepsAsked } from './draft.ts';

export function coldSideSteps(asked: StepsAsked, uses: readonly StageUse[]): StepDraft[] {
  const { design, settings, packagedL, creep } = asked;
  const { batch } = design;
  const withHops = uses.filter(
    (use) => use.kind !== 'dry_hop' || weighOuts(design, use.key).length > 0,
  );
  const days = brewDays(withHops, settings);
  const dryHop = kindNamed('dry_hop').cautions.filter((caution) => caution !== CREEP_CAUTION);
  return [
    {
      kind: 'pitch',
      title: 'Pitch the yeast',
      vessel: 'Fermenter',
      figures: [
        figure('Pitch at', settings.pitchTemp, 'C', {
          ...usual(settings.pitchWindow !== null),
          ...(settings.pitchWindow ?? {}),
        }),
        ...(batch.gravity_sg === undefined
          ? []
          : [figure('Original gravity', batch.gravity_sg, 'SG')]),
      ],
      instructions: [
        batch.yeast === 'thiol_releasing'
          ? 'Thiol-releasing yeast. Aerate now, and never again.'
          : 'Aerate now, and never again.',
      ],
    },
    ...days.dryHops.map(({ use, begins, ends, isUsual }): StepDraft => {
      const { temp_c, hours, mixed: moved, live_yeast } = use.conditions;
      return {
        kind: 'dry_hop',
        title: stageName(use.key),
        stage: use.key,
        vessel: 'Fermenter',
        day: begins,
        ends_day: ends,
        day_is_usual: isUsual,
        weigh: weighOuts(design, use.key),
        figures: [figure('At', temp_c, 'C'), figure('For', hours, 'h')],
        instructions: [
          live_yeast
            ? 'While the yeast still works: it takes up the oxygen that comes in with the hops.'
            : 'Fermentation is over: purge hops and headspace with carbon dioxide, add under a slow stream of it, and close.',
          moved
            ? 'Keep the hops in motion; no air in the pump or the hoses.'
            : 'Let them lie; no need to stir.',
        ],
        cautions: dryHop,
      };
    }),
    {
      kind: 'crash',
      title: 'Cold crash',
      vessel: 'Fermenter',
      day: days.crash,
      day_is_usual: true,
      figures: [figure('Down to', settings.crashTemp, 'C', { usual: true })],
      instructions: [
        'Only when the gravity stands still at fermentation temperature and no diacetyl is left.',
        'Cold beer shrinks and draws in air: let carbon dioxide follow.',
      ],
    },
    {
      kind: 'package',
      title: 'Package',
      vessel: 'Keg, can or bottle',
      day: days.package,
      day_is_usual: true,
      figures: [
        figure('About', packagedL, 'L'),
        ...(batch.co2_vol === undefined
          ? []
          : [figure('Carbon dioxide planned', batch.co2_vol, 'vol')]),
        ...(creep && creep.extra_co2_vol > 0
          ? [figure('Hop creep may add', creep.extra_co2_vol, 'vol')]
          : []),
        ...(creep && creep.pressure_bar_at_20c !== null
          ? [figure('Pressure at room temperature then', creep.pressure_bar_at_20c, 'bar')]
          : []),
      ],
      instructions: ['Purge every vessel and hose with carbon dioxide first.'],
      cautions: [
        ...(creep ? [CREEP_CAUTION] : []),
        ...(days.dryHops.length > 0 ? [SPENT_HOPS_CAUTION] : []),
        LAW_CAUTION,
      ],
    },
  ];
}
