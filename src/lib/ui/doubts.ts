// What the doubt of a blend says in words: the unknowns by name, and what would make an aroma surer.
import parameterRows from '#data/generated/parameters.json' with { type: 'json' };
import type { AnalyteId, AxisId, CompoundId } from '#shared/ids.ts';
import { AXES } from '#shared/ids.ts';
import type { Blend } from '#shared/answer.ts';
import type { AxisDoubt, Swing } from '#shared/doubt.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { AXIS_NAMES, FORM_NAMES } from '#shared/words.ts';
import { band, intensity, percent } from './format.ts';
import { analyteName, compoundName } from './words.ts';

/** Least gain of an analysis worth naming, fraction of the band. */
const WORTH_NAMING = 0.05;

export function unknownName({ kind, id, hop }: Pick<Swing, 'kind' | 'id' | 'hop'>): string {
  if (kind === 'lot') return `${hop}: ${analyteName(id as AnalyteId)}`;
  if (kind === 'threshold') return `Odour threshold, ${compoundName(id as CompoundId)}`;
  return parameterRows[id as keyof typeof parameterRows].label;
}

/** Names of unknowns in their order; lots of one hop are told apart by form, then by number. */
export function unknownNames(swings: readonly Swing[]): string[] {
  const plain = swings.map(unknownName);
  const forms = new Map<string, Set<string | null>>();
  swings.forEach(({ hop, form }) => {
    if (hop !== null) forms.set(hop, (forms.get(hop) ?? new Set()).add(form));
  });
  const named = swings.map((s, i) =>
    s.hop !== null && forms.get(s.hop)!.size > 1
      ? `${plain[i]}, ${FORM_NAMES[s.form!]}`
      : plain[i]!,
  );
  return named.map((name, i) => {
    const before = named.slice(0, i).filter((n) => n === name).length;
    return before > 0 ? `${name} (another lot)` : name;
  });
}

/** The axes worth asking about: wished ones and those that can be smelled, the widest band first. */
export function doubtfulAxes({ target }: Brief, { axes }: Pick<Blend, 'axes'>): AxisId[] {
  const width = (axis: AxisId) => axes[axis].high - axes[axis].low;
  return AXES.filter((a) => width(a) > 0 && (target[a] !== undefined || axes[a].high >= 1)).sort(
    (a, b) =>
      Number(target[b] !== undefined) - Number(target[a] !== undefined) || width(b) - width(a),
  );
}

/** What the chart shows, for those who do not see it and for those in a hurry. */
export function doubtSentences(axis: AxisId, doubt: AxisDoubt): string[] {
  const figures = (b: { low: number; high: number }) => band(b, intensity);
  const [first] = doubt.swings;
  const sentences = [
    `${AXIS_NAMES[axis]} is ${intensity(doubt.intensity)}, ${figures(doubt)} in 8 of 10 cases.`,
  ];
  if (first) sentences.push(`What moves it most: ${unknownName(first)}.`);
  const worth = doubt.if_analysed.filter((l) => l.narrower >= WORTH_NAMING);
  const [best] = worth;
  sentences.push(
    best
      ? `Of all lots, an analysis of ${best.hop}, ${FORM_NAMES[best.form]}, is worth most: the band would be ${percent(Math.round(best.narrower * 100) / 100)} narrower.`
      : 'No analysis of a single lot would make the band noticeably narrower.',
  );
  sentences.push(
    `With all lots analysed it would be ${figures(doubt.if_all_analysed)}; with the science settled and the lots as they are, ${figures(doubt.if_science_settled)}.`,
  );
  return sentences;
}
