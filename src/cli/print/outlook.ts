// What comes of a design as text for people: warnings, hop creep in the package, the shelf.
import { FADED, keepingTimeWords } from '#shared/answers/keeping-time.ts';
import { AXES } from '#shared/ids.ts';
import type { Outlook } from '#shared/answers/prediction.ts';
import { warningSources } from '#shared/answers/warnings.ts';
import { AXIS_NAMES, spoken } from '#shared/words.ts';
import { figure, table, wrapped } from './table.ts';

const SEVERITY = { danger: 'DANGER', care: 'care', note: 'note' } as const;

export function warningLines({ warnings }: Pick<Outlook, 'warnings'>): string[] {
  if (warnings.length === 0) return [];
  return [
    'Worth a second look:',
    ...warnings.flatMap((warning) => {
      const { severity, text } = warning;
      return wrapped(`${SEVERITY[severity]}: ${text} (${warningSources(warning)})`);
    }),
  ];
}

export function creepLines({ creep }: Pick<Outlook, 'creep'>): string[] {
  if (!creep) return [];
  const { extra_co2_vol: extra, planned_co2_vol: planned, co2_vol, extract_p } = creep;
  const formed = `Hop creep: up to ${figure(extract_p)} P set free; once the package is warm up to ${figure(extra)} volumes of carbon dioxide`;
  if (planned === null || co2_vol === null) {
    return wrapped(`${formed}. Give batch.co2_vol to see the pressure.`, '');
  }
  const from = figure(creep.planned_pressure_bar_at_20c!);
  const to = figure(creep.pressure_bar_at_20c!);
  return wrapped(
    `${formed} on ${figure(planned)} planned: ${figure(co2_vol)} volumes, at 20 C ${to} bar gauge pressure instead of ${from} (10-90 % up to ${figure(creep.pressure_bar_at_20c_high!)}).`,
    '',
  );
}

export function shelfLines({ shelf }: Pick<Outlook, 'shelf'>): string[] {
  const { points, temp_c, best_before: best } = shelf;
  const head = points.map(({ months }) => (months === 0 ? 'fresh' : `${months} mo`));
  const rows = AXES.filter((axis) => points[0]!.axes[axis].intensity >= 0.5).map((axis) => [
    spoken(AXIS_NAMES[axis]),
    ...points.map((point) => figure(point.axes[axis].intensity)),
  ]);
  if (rows.length === 0) return [];
  return [
    `On the shelf at ${figure(temp_c)} C, intensities (notes below 0.5 left out):`,
    ...table([['aroma', ...head], ...rows], ['left', ...head.map(() => 'right' as const)]),
    `Best for ${keepingTimeWords(best.months)} in the package (${keepingTimeWords(best.low)} to ${keepingTimeWords(best.high)})${
      best.axis === null ? '' : `: by then ${spoken(AXIS_NAMES[best.axis])} has lost ${FADED}`
    }.`,
  ];
}
