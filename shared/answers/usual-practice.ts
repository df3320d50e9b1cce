// What brewers usually do: how much hops a kind of beer takes in all, and which hops go early or late. Our own plain
// kinds; common practice, no source. It judges nothing and only points out what a brewer would question.
import type { FormId } from '#shared/ids.ts';
import { nameKey } from '#shared/name-key.ts';
import { kindNamed } from '#shared/stages/kinds.ts';
import { stagesOf, type Stages } from '#shared/stages/stages.ts';
import type { GramsPerLitre, Minutes } from '#shared/units.ts';

/** Total dose of all stages, g of hops per litre of beer. */
export interface UsualTotal {
  readonly from: GramsPerLitre;
  readonly to: GramsPerLitre;
}

/** Kinds of beer by their hopping, with what is usual of all forms together; common practice, no source. */
export const KINDS_OF_BEER = {
  lager: { name: 'a pale lager', from: 1, to: 3 },
  bitter_lager: { name: 'a bitter lager', from: 2, to: 5 },
  wheat: { name: 'a wheat beer', from: 0.5, to: 2 },
  amber: { name: 'an amber or brown ale', from: 1.5, to: 5 },
  dark: { name: 'a dark strong ale', from: 2, to: 6 },
  pale: { name: 'a pale ale', from: 4, to: 10 },
  hoppy: { name: 'a hoppy, bitter ale', from: 7, to: 15 },
  hazy: { name: 'a hazy, juicy ale', from: 8, to: 20 },
  sour: { name: 'a sour beer', from: 0, to: 4 },
} as const satisfies Record<string, UsualTotal & { readonly name: string }>;

export type KindOfBeer = keyof typeof KINDS_OF_BEER;

/** Hops bred and bought for their bitterness; common practice, no source. */
const FOR_BITTERNESS = [
  'Agnus',
  'Apollo',
  'Herkules',
  'Magnum',
  'Nugget',
  'Pacific Gem',
  'Polaris',
  'Summit',
  'Target',
  'Taurus',
  'Topaz',
  'Warrior',
];
/** Fine hops of little alpha, bought for their aroma; common practice, no source. */
const FOR_AROMA = [
  'Callista',
  'Celeia',
  'Crystal',
  'East Kent Golding',
  'Fuggle',
  'Hallertauer Mittelfrüh',
  'Hersbrucker',
  'Liberty',
  'Riwaka',
  'Saaz',
  'Saphir',
  'Smaragd',
  'Spalter',
  'Spalter Select',
  'Strisselspalt',
  'Styrian Golding',
  'Tettnanger',
  'Triskel',
  'Vera',
];
const keysOf = (names: readonly string[]) => new Set(names.map(nameKey));
const BITTERNESS = keysOf(FOR_BITTERNESS);
const AROMA = keysOf(FOR_AROMA);

/** A boil addition of at least so many minutes is for bitterness, of no more than so many for aroma. */
const EARLY_FROM: Minutes = 45;
const LATE_TO: Minutes = 20;

/** A hop, or its form, where brewers seldom put it. */
export interface UnusualRole {
  readonly hop: string;
  /** Key of the stage. */
  readonly stage: string;
  readonly role: 'aroma_hop_early' | 'unusual_form' | 'bittering_hop_late';
}

/** Hops of additions that weigh something where brewers seldom put them, each once a stage. */
export function unusualRoles(
  additions: readonly {
    readonly hop: string;
    readonly form: FormId;
    readonly stage: string;
    readonly grams: number;
  }[],
  stages: Readonly<Stages>,
): UnusualRole[] {
  const kinds = new Map(stagesOf(stages).map((stage) => [stage.key, stage]));
  const found = new Map<string, UnusualRole>();
  for (const { hop, form, stage, grams } of additions) {
    const at = kinds.get(stage);
    if (!at || grams === 0) continue;
    const minutes = at.kind === 'boil' ? at.conditions.minutes : null;
    const early = minutes !== null && minutes >= EARLY_FROM;
    const late =
      at.kind === 'hot_steep' || at.kind === 'dry_hop' || (minutes !== null && minutes <= LATE_TO);
    const key = nameKey(hop);
    const role =
      early && AROMA.has(key)
        ? 'aroma_hop_early'
        : kindNamed(at.kind).usualForms?.includes(form) === false
          ? 'unusual_form'
          : late && BITTERNESS.has(key)
            ? 'bittering_hop_late'
            : null;
    if (role) found.set(`${key}|${stage}`, { hop, stage, role });
  }
  return [...found.values()];
}
