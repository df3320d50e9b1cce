// A blend beside the schedule it is measured against, as text for people: what changes, what is saved.
import { AXES, type AxisId } from '#shared/ids.ts';
import type { Proof } from '#shared/answers/answer.ts';
import type { ComparedBlend, Original, TotalsChange } from '#shared/answers/comparison.ts';
import { AXIS_NAMES, spoken } from '#shared/words.ts';
import type { Design } from '#engine/predict/design.ts';
import { scheduleLines } from './prediction.ts';
import { figure, table, wrapped } from './table.ts';

/** A change with its sign; `0` where it is nothing but rounding. */
function signed(value: number): string {
  if (Math.abs(value) < 0.005) return '0';
  return `${value > 0 ? '+' : ''}${figure(value)}`;
}

export function proofText({ status, lower_bound }: Proof, unit: string): string {
  return status === 'optimal'
    ? `proven: not below ${figure(lower_bound)}${unit}`
    : `not settled: proven only that it is not below ${figure(lower_bound)}${unit}`;
}

/** Every axis before and in each blend. */
export function changeLines(original: Original, blends: readonly ComparedBlend[]): string[] {
  const cell = (blend: ComparedBlend, axis: AxisId) => {
    const { to, noticeable } = blend.changes[axis];
    return `${figure(to)}${noticeable ? ' !' : '  '}`;
  };
  const rows = AXES.map((axis) => [
    spoken(AXIS_NAMES[axis]),
    figure(original.axes[axis]),
    ...blends.map((b) => cell(b, axis)),
  ]);
  const head = ['aroma', 'before', ...blends.map((_, i) => `blend ${i + 1}  `)];
  return [
    ...table(
      [head, ...rows],
      head.map((_, i) => (i === 0 ? 'left' : 'right')),
    ),
    '! marks a change most tasters would notice.',
  ];
}

/** `12 g less hops, 0.3 L more beer`. */
export function totalsText(change: TotalsChange): string {
  const { hop_g, ibu, leaf_g_per_l, beer_lost_l, cost } = change;
  return [
    `hops ${signed(hop_g)} g`,
    `bitterness ${signed(ibu)} IBU`,
    `leaf after the mash ${signed(leaf_g_per_l)} g/L`,
    `beer kept ${signed(-beer_lost_l)} L`,
    cost === null ? 'cost not known' : `cost ${signed(cost)}`,
  ].join(', ');
}

/** One blend: its heading, its schedule, what it changes. */
export function comparedLines(heading: string, design: Design, change: TotalsChange): string[] {
  return [
    ...wrapped(heading, ''),
    ...scheduleLines(design),
    ...wrapped(`Change from before: ${totalsText(change)}.`, ''),
  ];
}
