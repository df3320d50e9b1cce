// What moves a prediction, as text: axis by axis the unknowns that matter, and how much an analysis would narrow
// the range. The JSON document holds every unknown; the text says how many it leaves out.
import { AXES, weakOf } from '#shared/ids.ts';
import type { Band } from '#shared/answers/prediction.ts';
import type { AxisDoubt, Doubt, Swing } from '#shared/answers/doubt.ts';
import { AXIS_NAMES, FORM_NAMES, spoken } from '#shared/words.ts';
import type { Model, ParameterId } from '#engine/tables/model.ts';
import type { AxisEvidence } from '#engine/evidence/axis-evidence.ts';
import { alike, band, figure, table, words, wrapped } from './table.ts';

const LINES_MAX = 6;
/** Axes weaker than this are not broken down, intensity at the 90 % point: below notice. */
const LEAST_HIGH = 1;

function nameOf(model: Model, { kind, id, hop, form }: Swing): string {
  if (kind === 'lot') return `${hop} (${FORM_NAMES[form!]}): ${words(id)}`;
  if (kind === 'parameter') return spoken(model.parameters[id as ParameterId].label);
  if (kind === 'reported') return `${hop}: ${words(id)} that tasters report`;
  if (kind === 'weight') {
    const [axis = '', driver = ''] = id.split('/');
    return `weight of ${words(driver)} on ${words(axis)}`;
  }
  return `odour threshold of ${model.compounds[id as keyof Model['compounds']].name}`;
}

function swingLines(model: Model, { swings }: AxisDoubt, by: Swing['settled_by']): string[] {
  const all = swings.filter((s) => s.settled_by === by);
  if (all.length === 0) return [];
  const title = by === 'lab' ? 'a lab could measure' : 'only research could settle';
  const shown = all.slice(0, LINES_MAX);
  const left = all.length - shown.length;
  const most = left > 0 ? Math.abs(all[LINES_MAX]!.at_high - all[LINES_MAX]!.at_low) : 0;
  return [
    ...table(
      [
        [`  ${title}`, 'at 10 %', 'at 90 %', 'share'],
        ...shown.map((s) => [
          `    ${nameOf(model, s)}`,
          figure(s.at_low),
          figure(s.at_high),
          `${Math.round(s.share * 100)} %`,
        ]),
      ],
      ['left', 'right', 'right', 'right'],
    ),
    ...(left > 0 ? [`    and ${left} more, each moving it by ${figure(most)} at most`] : []),
  ];
}

function axisText(model: Model, name: string, doubt: AxisDoubt): string[] {
  const worth = doubt.if_analysed.filter((l) => l.narrower >= 0.01);
  const lots = worth.map(
    (l) => `${l.hop} (${FORM_NAMES[l.form]}) ${Math.round(l.narrower * 100)} %`,
  );
  const { if_all_analysed: all, if_science_settled: science } = doubt;
  const format = alike(doubt.intensity, doubt.low, doubt.high);
  const within = ({ low, high }: Band) => band(low, high, format);
  return [
    `${name} ${format(doubt.intensity)}, 10-90 %: ${within(doubt)}`,
    ...swingLines(model, doubt, 'lab'),
    ...swingLines(model, doubt, 'science'),
    `  with every lot analysed ${within(all)}, with all research questions answered ${within(science)}`,
    ...(lots.length > 0
      ? wrapped(`band narrower by an analysis of one lot: ${lots.join(', ')}`, '  ')
      : ['  no analysis of a single lot makes the band noticeably narrower']),
  ];
}

export function doubtLines(model: Model, doubt: Doubt): string[] {
  const axes = AXES.filter((a) => doubt[a].high >= LEAST_HIGH);
  if (axes.length === 0) return ['Nothing here can be smelled, so there is no range to explain.'];
  return [
    'What moves each aroma: one unknown at its 10 % and 90 % points, all others at their middle, and',
    'its share of the uncertainty.',
    ...axes.flatMap((a) => axisText(model, spoken(AXIS_NAMES[a]), doubt[a])),
  ];
}

export function restingLines(resting: Readonly<Record<string, AxisEvidence | null>>): string[] {
  const parts = AXES.flatMap((a) => {
    const of = resting[a];
    if (!of) return [];
    return [`${spoken(AXIS_NAMES[a])} ${Math.round(weakOf(of) * 100)} %`];
  });
  if (parts.length === 0) return [];
  return wrapped(
    `Rests on memory, tasters' words or estimates, each figure by what it adds to the aroma, process figures where their uncertainty would be noticed: ${parts.join(', ')}.`,
    '',
  );
}
