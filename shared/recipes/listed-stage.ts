// A stage stated by fields instead of words: its name, made of its figures so that two of a kind differ, and how
// long its hops are in.
import type { ListedStage } from '#shared/lists/stage-words.ts';
import type { Practice } from '#shared/stages/kind.ts';
import { kindNamed, KINDS, type StageKind } from '#shared/stages/kinds.ts';
import type { StageUse } from '#shared/stages/stages.ts';
import type { Minutes } from '#shared/units.ts';

/** How each figure is written in a name. */
const WRITTEN: Readonly<Record<string, (value: string) => string>> = {
  minutes: (value) => `${value} min`,
  hours: (value) => `${value} h`,
  temp_c: (value) => `${value} C`,
  day: (value) => `day ${value}`,
};

/** A stage of a kind with the conditions that are given, or a practice of the trade in it. */
export function listedStage(
  kind: StageKind,
  stated: Readonly<Record<string, number | undefined>>,
  practice: Practice | null = null,
): ListedStage {
  const given = Object.entries(stated).flatMap(([field, value]) =>
    value === undefined ? [] : [[field, value] as const],
  );
  const conditions = Object.fromEntries(given);
  const figures = given.map(([field, value]) =>
    WRITTEN[field]!(`${Math.round(value * 10) / 10}`.replace('.', ',')),
  );
  const title = practice?.name ?? KINDS[kind].name;
  const name = figures.length === 0 && !practice ? null : [title, ...figures].join(' ');
  return { kind, conditions, practice, name };
}

/** How long the hops of a stage are in, min: the condition that a list's figures of time are for. */
export function minutesIn({ kind, conditions }: Pick<StageUse, 'kind' | 'conditions'>): Minutes {
  const { field, perMinute } = kindNamed(kind).listed.time;
  return (conditions as unknown as Readonly<Record<string, number>>)[field]! * (1 / perMinute);
}
