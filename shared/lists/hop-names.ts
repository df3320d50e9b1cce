// Finds the variety of the hop table that a list means: by other names of the trade, and by names with the country or
// the form beside them ("US Cascade", "Perle (DE) T90", "Fuggles"). The names of the table are handed in. A name that
// is only near one of the table is never taken for it: a person is asked.
import { joined } from './folding.ts';
import { formOf } from './value-words.ts';

/** The hop table, as far as a list needs it. */
export interface KnownHops {
  /** The table's own name of a variety; `undefined` where it has none such. */
  readonly named: (name: string) => string | undefined;
  /** Varieties that may be meant by a name the table does not have, the closest first. */
  readonly near: (name: string) => readonly string[];
}

/** Other names of varieties, in the trade and in other languages; common practice, no source. */
const OTHER_NAMES: Readonly<Record<string, string>> = Object.fromEntries(
  (
    [
      ['Columbus (CTZ)', 'columbus ctz tomahawk zeus columbustomahawkzeus'],
      ['East Kent Golding', 'ekg eastkentgoldings kentgolding kentgoldings'],
      ['Styrian Golding', 'styriangoldings savinjskigolding steirischergolding'],
      [
        'Saaz',
        'saazer zatec zatecky zateckychmel zateckypoloranycervenak zpc zateckycervenak zateckypolorany poloranycervenak',
      ],
      [
        'Hallertauer Mittelfrüh',
        'hallertauermittelfrueh hallertaumittelfruh hallertaumittelfrueh mittelfruh mittelfrueh hallertauermfr',
      ],
      ['Hallertauer Tradition', 'hallertautradition'],
      ['Huell Melon', 'hullmelon hullermelon huellermelon'],
      [
        'Hersbrucker',
        'hersbruckerspat hersbruckerspaet hallertauhersbrucker hallertauerhersbrucker',
      ],
      ['Tettnanger', 'tettnang tettnangtettnanger'],
      ['Spalter', 'spalt spalterspalt'],
      ['Spalter Select', 'spaltselect spaltselekt spalterselekt'],
      ['Lublin (Lubelski)', 'lublin lubelski lubliner'],
      ['Strisselspalt', 'strisselspalter'],
      ['Mt. Hood', 'mounthood'],
      ['Ekuanot', 'equinox'],
      ["Brewer's Gold", 'brewersgold'],
    ] as const
  ).flatMap(([name, others]) => others.split(' ').map((other) => [other, name])),
);

/** Where a hop grew, as lists write it beside the name. */
const PLACES = new Set(
  `us usa american amerikanisch yakima washington oregon idaho uk gb english british england
  de ger german germany deutsch deutscher deutschland hallertau hallertauer
  cz czech cesky cesko tschechisch fr french france francais si slovenian slovenia
  au aus australian australia nz newzealand zealand new pl polish poland be belgian es bio organic
  ecologico eko hop hops hopfen chmel houblon lupulo`.split(/\s+/),
);
/** Longest name that is looked at. */
const NAME_MAX = 80;

/** The same name in ever fewer words. */
function* shorter(name: string): Generator<string> {
  yield name;
  const bare = name.replace(/\([^()]*\)|\[[^[\]]*\]/g, ' ').trim();
  yield bare;
  const words = bare.split(/[\s,;/®™*–-]+/).filter(Boolean);
  const undated = words.filter((word) => formOf(word) === null && !/^(?:19|20)\d\d$/.test(word));
  yield undated.join(' ');
  const nameWords = undated.filter((word) => !/^[\d.,]+%?$/.test(word) && joined(word) !== '');
  yield nameWords.join(' ');
  const placeless = nameWords.filter((word) => !PLACES.has(joined(word)));
  yield placeless.join(' ');
  if (placeless.join(' ').length > 4) yield placeless.join(' ').replace(/s$/i, '');
}

/** Answers of a hop table to names asked before: a list repeats its names. */
interface NamesAsked {
  readonly names: Map<string, string | undefined>;
  readonly meant: Map<string, readonly string[]>;
}

const asked = new WeakMap<KnownHops, NamesAsked>();
/** Names remembered. */
const ASKED_MAX = 10_000;

function remembered<T>(of: keyof NamesAsked, written: string, hops: KnownHops, find: () => T): T {
  let known = asked.get(hops);
  if (!known) asked.set(hops, (known = { names: new Map(), meant: new Map() }));
  const answers = known[of] as Map<string, T>;
  if (answers.has(written)) return answers.get(written)!;
  if (answers.size >= ASKED_MAX) answers.clear();
  const found = find();
  answers.set(written, found);
  return found;
}

/** The table's name for what a list calls a hop; `undefined` where it is none of the table for certain. */
export function tableName(written: string, hops: KnownHops): string | undefined {
  if (written.length > NAME_MAX) return undefined;
  return remembered('names', written, hops, () => nameIn(written, hops));
}

function nameIn(written: string, { named }: KnownHops): string | undefined {
  for (const name of shorter(written)) {
    const other = Object.hasOwn(OTHER_NAMES, joined(name)) ? OTHER_NAMES[joined(name)] : undefined;
    const own = name === '' ? undefined : named(name);
    const found = own ?? (other === undefined ? undefined : named(other));
    if (found !== undefined) return found;
  }
  return undefined;
}

/** What may be meant by a name that is none of the table, and is asked for. */
export function meantBy(written: string, hops: KnownHops): readonly string[] {
  if (tableName(written, hops) !== undefined) return [];
  const name = written.slice(0, NAME_MAX);
  return remembered('meant', name, hops, () => hops.near(name));
}
