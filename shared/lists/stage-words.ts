// What a list says of the stage of an addition: "boil 10", "First wort", "Whirlpool 80 C", "Dry hop, day 4". The
// kind, the conditions that are given, and a name; nothing is guessed beyond that.
import { z } from '#shared/zod.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import { minutesOf, TIME_WORDS } from './figures.ts';
import { plain } from './folding.ts';
import type { Practice } from '#shared/stages/kind.ts';
import { kindNamed, STAGE_KINDS, type StageKind } from '#shared/stages/kinds.ts';
import { isStageName } from '#shared/stages/stages.ts';
import type { Celsius, Minutes, Hours } from '#shared/units.ts';

/** A stage as a list gives it. */
export interface ListedStage {
  readonly kind: StageKind;
  readonly conditions: Readonly<Record<string, number>>;
  readonly practice: Practice | null;
  /** Its name; `null` where only the kind was given. */
  readonly name: string | null;
}

/** What stands in columns of its own beside the stage. */
export interface BesideStage {
  readonly minutes?: Minutes;
  readonly hours?: Hours;
  readonly day?: number;
  readonly temp_c?: Celsius;
}

const NUMBER = String.raw`(\d+(?:[.,]\d+)?)`;
const END = String.raw`(?![\p{L}\d])`;
const DAY = new RegExp(
  String.raw`\b(?:day|tag|den|jour|dia)\s*${NUMBER}${END}|${NUMBER}\.\s*(?:tag|den)${END}`,
  'iu',
);
const TEMPERATURE = new RegExp(
  String.raw`${NUMBER}\s*(?:°|deg(?:rees)?)?\s*(c|f|celsius|fahrenheit)${END}`,
  'iu',
);
const TIME = new RegExp(String.raw`${NUMBER}[\s-]*(${TIME_WORDS.join('|')})\.?${END}`, 'iu');
const BEFORE = /\b(?:before|vor|pred|avant|antes|left)\b/u;
const BARE = new RegExp(NUMBER, 'u');
const MINUTES_PER_DAY = minutesOf('d')!;

const numberIn = (text: string) => Number(text.replace(',', '.'));
const folded = (text: string) => plain(text).replace(/[^\p{L}]/gu, '');
const refused = <T>(message: string, cure: string): Outcome<T> =>
  failure({ path: 'stage', message, cure });

interface StageFigures {
  readonly minutes?: Minutes;
  readonly day?: number;
  readonly temp_c?: Celsius;
  readonly bare?: number;
  /** Whether the minutes are counted before the end, as only those of a boil are: "10 min vor Kochende". */
  readonly before?: true;
  /** What is left beside the figures, in small letters. */
  readonly words: string;
}

function figuresIn(text: string, { minutes, hours, day, temp_c }: BesideStage): StageFigures {
  let rest = plain(text);
  const take = (pattern: RegExp): RegExpExecArray | null => {
    const found = pattern.exec(rest);
    if (found) rest = rest.replace(found[0], ' ');
    return found;
  };
  const onDay = take(DAY);
  const warm = take(TEMPERATURE);
  const long = take(TIME);
  const bare = take(BARE);
  const shown = warm ? numberIn(warm[1]!) : undefined;
  const celsius =
    shown === undefined || !warm || warm[2]!.toLowerCase().startsWith('c')
      ? shown
      : Math.round(((shown - 32) / 1.8) * 10) / 10;
  const written = long ? numberIn(long[1]!) * minutesOf(long[2]!)! : undefined;
  const beside = minutes ?? (hours === undefined ? undefined : hours * 60);
  const figures = {
    minutes: written ?? beside,
    day: onDay ? numberIn(onDay[1] ?? onDay[2]!) : day,
    temp_c: celsius ?? temp_c,
    bare: bare ? numberIn(bare[1]!) : undefined,
  };
  const given = Object.entries(figures).filter(([, value]) => value !== undefined);
  const before = BEFORE.test(rest) && written !== undefined;
  return { ...Object.fromEntries(given), ...(before && { before }), words: folded(rest) };
}

/** Least letters of a word that is looked for inside others. */
const INSIDE_MIN = 4;

function meant(words: string, by: readonly string[]): boolean {
  return by.some((word) => word === words || (word.length >= INSIDE_MIN && words.includes(word)));
}

interface Meant {
  readonly kind: StageKind;
  readonly practice: Practice | null;
}

function kindsMeant({ words, minutes, day, bare, before }: StageFigures): Meant[] {
  if (before) return [{ kind: 'boil', practice: null }];
  const practices = STAGE_KINDS.flatMap((kind) =>
    (kindNamed(kind).practices ?? []).map((practice): Meant => ({ kind, practice })),
  );
  const practised = practices.filter(({ practice }) => meant(words, practice!.words));
  if (practised.length > 0) return practised;
  if (words === '') {
    if (day !== undefined) return [{ kind: 'dry_hop', practice: null }];
    const isLong = minutes !== undefined && minutes >= MINUTES_PER_DAY;
    if (isLong) return [{ kind: 'dry_hop', practice: null }];
    return minutes !== undefined || bare !== undefined ? [{ kind: 'boil', practice: null }] : [];
  }
  return STAGE_KINDS.filter((kind) =>
    meant(words, [folded(kind), folded(kindNamed(kind).name), ...kindNamed(kind).words]),
  ).map((kind) => ({ kind, practice: null }));
}

/** The conditions of a kind that the figures stand for; fails where the kind has no such condition. */
function conditionsOf(kind: StageKind, figures: StageFigures): Outcome<Record<string, number>> {
  const { name, listed } = kindNamed(kind);
  const minutes = figures.minutes ?? (listed.bareMinutes ? figures.bare : undefined);
  if (figures.bare !== undefined && minutes !== figures.bare && figures.bare >= 10) {
    const cure = 'Say what it is, like 80 C, 20 min, 72 h, 4 days or day 4';
    return refused(`${figures.bare} has no unit`, cure);
  }
  const lacks = (what: string) =>
    refused<Record<string, number>>(`a ${name.toLowerCase()} has no ${what}`, 'Leave it out');
  if (figures.temp_c !== undefined && !listed.temperature) return lacks('temperature of its own');
  if (figures.day !== undefined && !listed.day) return lacks('day');
  return success({
    ...(minutes !== undefined && { [listed.time.field]: minutes * listed.time.perMinute }),
    ...(figures.temp_c !== undefined && { [listed.temperature!]: figures.temp_c }),
    ...(figures.day !== undefined && { [listed.day!]: figures.day }),
  });
}

/** A name for a stage that has conditions: the text as it was written, where that is a valid name. */
function nameOf(
  text: string,
  { kind, practice }: Meant,
  conditions: object,
  beside: boolean,
): string {
  const own = text.trim().replace(/\s+/g, ' ');
  const written = own.charAt(0).toUpperCase() + own.slice(1);
  if (!beside && isStageName(written)) return written;
  const figures = Object.entries(conditions).map(([field, value]) =>
    field === 'day' ? `day ${value}` : `${Math.round(Number(value) * 10) / 10}`.replace('.', ','),
  );
  return [practice?.name ?? kindNamed(kind).name, ...figures].join(' ');
}

/** Reads what a list says of a stage. Fails where no one kind is meant, with what to write. */
export function readStage(text: string, beside: BesideStage = {}): Outcome<ListedStage> {
  const figures = figuresIn(text, beside);
  const found = kindsMeant(figures);
  const [only] = found;
  if (!only || found.length > 1) {
    const message = only
      ? `"${text}" may be ${found.map(({ kind, practice }) => practice?.name ?? kindNamed(kind).name).join(' or ')}`
      : `"${text}" is no stage known here`;
    const cure = 'Write mash, boil 60 min, first wort, flame-out, whirlpool 80 C or dry hop day 4';
    return refused(message, cure);
  }
  const own = conditionsOf(only.kind, figures);
  if (!own.ok) return own;
  const conditions = { ...only.practice?.conditions, ...own.value };
  const schema = kindNamed(only.kind).conditions;
  for (const [field, value] of Object.entries(conditions)) {
    const part = schema.shape[field];
    if (!part || z.safeParse(part, value).success) continue;
    const cure = `Correct it: ${kindNamed(only.kind).name.toLowerCase()} takes no such figure`;
    return refused(`${value} cannot be its ${field}`, cure);
  }
  const plain =
    Object.keys(own.value).length === 0 && only.practice === null && figures.bare === undefined;
  const apart = Object.values(beside).some((value) => value !== undefined);
  const name = plain ? null : nameOf(text, only, own.value, apart);
  return success({ kind: only.kind, conditions, practice: only.practice, name });
}
