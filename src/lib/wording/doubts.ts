// The uncertainty of a blend in words: the unknowns by name, and what would narrow the range of an aroma.
import parameterRows from '#data/generated/parameters.json' with { type: 'json' };
import type { AnalyteId, AxisId, CompoundId } from '#shared/ids.ts';
import { AXES } from '#shared/ids.ts';
import type { Blend } from '#shared/answers/answer.ts';
import type { AxisDoubt, Doubt, Swing } from '#shared/answers/doubt.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { AXIS_NAMES, FORM_NAMES, spoken } from '#shared/words.ts';
import { band, intensity, listed, percent } from './format.ts';
import { analyteName, compoundName, noteInList } from './words.ts';

/** Least gain of an analysis worth naming, fraction of the band. */
const WORTH_NAMING = 0.05;

export function unknownName({ kind, id, hop }: Pick<Swing, 'kind' | 'id' | 'hop'>): string {
  if (kind === 'lot') return `${hop}: ${analyteName(id as AnalyteId)}`;
  if (kind === 'threshold') return `Odour threshold of ${compoundName(id as CompoundId)}`;
  if (kind === 'reported') return `${hop}: ${noteInList(id as AxisId)} that tasters report`;
  if (kind === 'weight') {
    const [axis = '', driver = ''] = id.split('/');
    const of = driver === 'leaf' ? 'leaf' : compoundName(driver as CompoundId);
    return `Weight of ${of} on ${noteInList(axis as AxisId)}`;
  }
  return parameterRows[id as keyof typeof parameterRows].label;
}

/** Names of unknowns in their order; lots of one hop are told apart by form, then by number. */
export function unknownNames(swings: readonly Swing[]): string[] {
  const plain = swings.map(unknownName);
  const forms = new Map<string, Set<string | null>>();
  swings.forEach(({ hop, form }) => {
    if (hop !== null && form !== null) forms.set(hop, (forms.get(hop) ?? new Set()).add(form));
  });
  const named = swings.map((s, i) =>
    s.form !== null && forms.get(s.hop!)!.size > 1
      ? `${plain[i]}, ${FORM_NAMES[s.form]}`
      : plain[i]!,
  );
  return named.map((name, i) => {
    const before = named.slice(0, i).filter((n) => n === name).length;
    return before > 0 ? `${name} (another lot)` : name;
  });
}

/** Least distance from a wish worth naming, in intensity: less is not shown. */
const APART = 0.05;

type Bands = Pick<Blend, 'axes'>;

/** How far a blend is from a wish's aim or bound, in intensity; 0 where it keeps it. */
function apart({ target }: Brief, { axes }: Bands, axis: AxisId): number {
  const { aim, at_least, at_most } = target[axis] ?? {};
  const got = axes[axis].intensity;
  return Math.max(0, Math.abs(got - (aim ?? got)), (at_least ?? got) - got, got - (at_most ?? got));
}

/** The wish a blend is furthest from, missed or not; `null` where it is as good as at all of them. */
export function furthestWish(brief: Brief, blend: Bands): AxisId | null {
  const far = (axis: AxisId) => apart(brief, blend, axis);
  const [first] = [...AXES].sort((a, b) => far(b) - far(a));
  return far(first!) >= APART ? first! : null;
}

/**
 * The axes worth asking about: the wish the blend is furthest from, then the other wished ones, then
 * those that can be smelled; of each kind the widest band first.
 */
export function doubtfulAxes(brief: Brief, blend: Bands): AxisId[] {
  const { axes } = blend;
  const furthest = furthestWish(brief, blend);
  const width = (axis: AxisId) => axes[axis].high - axes[axis].low;
  const wished = (axis: AxisId) => brief.target[axis] !== undefined;
  const rank = (axis: AxisId) => (axis === furthest ? 2 : Number(wished(axis)));
  return AXES.filter((a) => width(a) > 0 && (wished(a) || axes[a].high >= 1)).sort(
    (a, b) => rank(b) - rank(a) || width(b) - width(a),
  );
}

/** The name of an unknown within a sentence. */
const within = (name: string, { hop }: Swing) => (hop === null ? `the ${spoken(name)}` : name);

/** Unknowns named for the whole blend. */
const OF_THE_WHOLE = 3;

/** The unknowns that move any of these axes most, each by the axis it moves furthest. */
export function wholeSentence(doubt: Doubt, axes: readonly AxisId[]): string | null {
  const swings = axes.flatMap((axis) => {
    const names = unknownNames(doubt[axis].swings);
    return doubt[axis].swings.map((swing, i) => {
      const by = Math.abs(swing.at_high - swing.at_low);
      return { axis, name: within(names[i]!, swing), by };
    });
  });
  const furthest = new Map<string, (typeof swings)[number]>();
  for (const swing of swings.sort((a, b) => b.by - a.by)) {
    if (!furthest.has(swing.name)) furthest.set(swing.name, swing);
  }
  const first = [...furthest.values()].slice(0, OF_THE_WHOLE);
  if (first.length === 0) return null;
  const said = first.map(
    ({ axis, name, by }) => `${name} (${noteInList(axis)}, by ${intensity(by)})`,
  );
  return `What moves the whole blend most: ${listed(said)}.`;
}

/** What the chart shows, for those who do not see it and for those in a hurry. */
export function doubtSentences(axis: AxisId, doubt: AxisDoubt): string[] {
  const figures = (b: { low: number; high: number }) => band(b, intensity);
  const [first] = doubt.swings;
  const sentences = [
    `${AXIS_NAMES[axis]} is ${intensity(doubt.intensity)}, ${figures(doubt)} in 8 of 10 cases.`,
  ];
  if (first) sentences.push(`What moves it most: ${within(unknownName(first), first)}.`);
  const worth = doubt.if_analysed.filter((l) => l.narrower >= WORTH_NAMING);
  const [best] = worth;
  sentences.push(
    best
      ? `The most useful lot analysis is that of ${best.hop}, ${FORM_NAMES[best.form]}: it makes the range ${percent(Math.round(best.narrower * 100) / 100)} narrower.`
      : 'No analysis of a single lot would make the range noticeably narrower.',
  );
  sentences.push(
    `With every lot analysed it would be ${figures(doubt.if_all_analysed)}; with all research questions answered and no lot analysed, ${figures(doubt.if_science_settled)}.`,
  );
  return sentences;
}
