// A prediction as text for people: schedule, totals, aroma, compounds, what it rests on, cautions.
import { AXES, COMPOUNDS, STATUSES, analyteOf, isThiol, type CompoundId } from '#shared/ids.ts';
import type { DoubtfulTotalId, Purchase } from '#shared/answers/prediction.ts';
import { cautionsFor } from '#shared/answers/cautions.ts';
import { leftoverWords } from '#shared/answers/leftover-words.ts';
import type { Batch } from '#shared/schemas/brief.ts';
import { spokenStage, type StageKind } from '#shared/stages/kinds.ts';
import { AXIS_NAMES, FORM_NAMES, YEAST_NAMES, spoken } from '#shared/words.ts';
import type { Design } from '#engine/predict/design.ts';
import type { Model } from '#engine/tables/model.ts';
import { lotsOf } from '#engine/predict/predict.ts';
import type { AxisShown, CompoundShown, FiguresShown } from './known.ts';
import { alike, band, figure, table, wrapped } from './table.ts';

/** What an intensity means to a taster. */
function meaning(intensity: number): string {
  if (intensity < 1) return 'below notice';
  if (intensity < 2.5) return 'noticeable';
  if (intensity < 4) return 'clear';
  return intensity < 6 ? 'strong' : 'dominant';
}

export function headLines({ name, batch }: Pick<Design, 'name' | 'batch'>): string[] {
  const facts = [
    `${figure(batch.beer_l)} L of beer`,
    `${spoken(YEAST_NAMES[batch.yeast])} yeast`,
    `malt ${figure(batch.malt_g_per_l)} g/L`,
  ];
  return [...(name === '' ? [] : [name]), facts.join(', ')];
}

export function scheduleLines({ additions, batch }: Design): string[] {
  if (additions.length === 0) return ['No hops.'];
  const rows = additions.map(({ lot, stage, grams }) => [
    spokenStage(stage),
    lot.hop,
    FORM_NAMES[lot.form],
    `${Number(grams.toFixed(2))}`,
    figure(grams / batch.beer_l),
  ]);
  return table(
    [['stage', 'hop', 'form', 'g', 'g/L'], ...rows],
    ['left', 'left', 'left', 'right', 'right'],
  );
}

/** Totals that may have a reason beside them, by the path of the reason. */
const REASONED: Readonly<Record<string, string>> = {
  'totals.ibu': 'Bitterness',
  'totals.ph_rise': 'pH rise and polyphenols',
  'totals.cost': 'Cost',
};

export function totalLines({ totals, totals_band: bands, reasons }: FiguresShown): string[] {
  const doubtful = (label: string, id: DoubtfulTotalId, unit: string) => {
    const value = totals[id];
    const { low, high } = bands[id];
    const format = alike(value, low, high);
    const shown = value === null ? 'not known' : `${format(value)}${unit}`;
    return [label, shown, low === null || high === null ? '' : band(low, high, format)];
  };
  const { hop_g, hop_g_per_l, cost } = totals;
  return [
    ...table(
      [
        ['total', 'central', '10-90 %'],
        ['hops', `${Number(hop_g!.toFixed(2))} g, ${figure(hop_g_per_l!)} g/L`, ''],
        doubtful('bitterness', 'ibu', ' IBU'),
        doubtful('bitterness as tasted', 'bitter_taste_mg_per_l', ' mg/L'),
        doubtful('leaf after the mash', 'leaf_g_per_l', ' g/L'),
        doubtful('beer lost', 'beer_lost_l', ' L'),
        doubtful('pH rise', 'ph_rise', ''),
        doubtful('polyphenols', 'polyphenols_mg_per_l', ' mg/L'),
        doubtful('hop creep in the dry hop', 'creep_co2_vol', ' vol CO2'),
        doubtful('hop creep still to come', 'creep_to_come_vol', ' vol CO2'),
        ['cost', cost === null ? 'not known' : figure(cost), ''],
      ],
      ['left', 'left', 'left'],
    ),
    ...Object.entries(REASONED)
      .filter(([path]) => reasons[path] !== undefined)
      .flatMap(([path, name]) => wrapped(`${name}: ${reasons[path]}.`, '  ')),
  ];
}

/** What of lots sold in packages is to be bought, and what of it is left over. */
export function purchaseLines(purchases: readonly Purchase[] = [], batch: Batch): string[] {
  if (purchases.length === 0) return [];
  const worth = leftoverWords(batch);
  return [
    `To buy in whole packages${worth && ` (the cost above is that${worth})`}:`,
    ...purchases.flatMap(({ hop, form, package_g, packages, cost, grams_left: left }) => {
      const paid = cost === null ? '' : `, cost ${figure(cost)}`;
      const count = `${packages} ${packages === 1 ? 'package' : 'packages'} of ${figure(package_g)} g`;
      return wrapped(`${hop}, ${FORM_NAMES[form]}: ${count}${paid}, ${figure(left)} g left over`);
    }),
  ];
}

function least(knowledge: AxisShown['knowledge'], text: string): string {
  return knowledge === 'at_least' ? `at least ${text}` : text;
}

/** `wishes` adds a column with what was wished of each axis. */
export function axisLines(
  { axes }: FiguresShown,
  wishes?: Readonly<Record<string, string>>,
): string[] {
  const rows = AXES.map((id) => {
    const { intensity, low, high, knowledge } = axes[id]!;
    const format = alike(intensity, low, high);
    const figures =
      intensity === null
        ? ['not known', '', '']
        : [least(knowledge, format(intensity)), band(low!, high!, format), meaning(intensity)];
    return [spoken(AXIS_NAMES[id]), ...(wishes ? [wishes[id] ?? ''] : []), ...figures];
  });
  const head = ['aroma', ...(wishes ? ['wished'] : []), 'intensity', '10-90 %', ''];
  return [
    ...table(
      [head, ...rows],
      head.map((_, i) => (i === (wishes ? 2 : 1) ? 'right' : 'left')),
    ),
    'Intensity: 1 just noticeable, 2.5 clear, 4 strong, 6 dominant.',
  ];
}

/** The kinds of evidence behind a compound's figures in the used lots, or `none`. */
function restsOn(design: Design, id: CompoundId): string {
  const analytes = isThiol(id)
    ? [analyteOf(id)]
    : [analyteOf(id), 'total_oil_ml_per_100g' as const];
  const statuses = lotsOf(design).flatMap((lot) => analytes.map((a) => lot.figures[a]?.status));
  return STATUSES.filter((s) => statuses.includes(s)).join('+') || 'none';
}

function compoundRow(model: Model, design: Design, id: CompoundId, shown: CompoundShown): string[] {
  const { ug_per_l, low, high, oav, oav_low, oav_high, knowledge } = shown;
  const threshold = model.compounds[id].threshold;
  const content = alike(ug_per_l, low, high);
  const activity = alike(oav, oav_low, oav_high);
  return [
    model.compounds[id].name,
    ug_per_l === null ? 'not known' : least(knowledge, content(ug_per_l)),
    ug_per_l === null ? '' : band(low!, high!, content),
    oav === null ? '-' : activity(oav),
    oav === null ? '' : band(oav_low!, oav_high!, activity),
    ug_per_l === null ? '-' : restsOn(design, id),
    threshold ? threshold.status : 'none known',
  ];
}

export function compoundLines(model: Model, design: Design, { compounds }: FiguresShown): string[] {
  return [
    ...table(
      [
        ['compound', 'ug/L', '10-90 %', 'OAV', '10-90 %', 'content', 'threshold'],
        ...COMPOUNDS.map((id) => compoundRow(model, design, id, compounds[id]!)),
      ],
      ['left', 'right', 'left', 'right', 'left', 'left', 'left'],
    ),
    'OAV: odour activity value, concentration over threshold. Content and threshold tell where the',
    'figures come from: seen in a source, derived, printed, from memory, reported by tasters, estimated, or your own.',
  ];
}

export function unknownLines(design: Design): string[] {
  const lots = lotsOf(design).filter((lot) => lot.unknown.length > 0);
  if (lots.length === 0) return [];
  return [
    'Not known, and so not counted (the figures above are then the least it can be):',
    ...lots.flatMap((lot) => wrapped(`${lot.hop}: ${lot.unknown.join(', ')}`)),
  ];
}

export function cautionLines(kinds: readonly StageKind[]): string[] {
  const cautions = cautionsFor(kinds);
  return cautions.length === 0 ? [] : ['Take care:', ...cautions.flatMap((c) => wrapped(c))];
}

/** Paragraphs with an empty line between; empty ones are left out. */
export function page(...paragraphs: readonly string[][]): string {
  return `${paragraphs
    .filter((p) => p.length > 0)
    .map((p) => p.join('\n'))
    .join('\n\n')}\n`;
}
