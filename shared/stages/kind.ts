// What a kind of stage says of itself to people: name, conditions with their fields on the page, cautions,
// and the words that lists have for it. What brewing does there is told by its module in the engine.
import type { Quantity } from '#shared/units.ts';
import type { z } from '#shared/zod.ts';

/** A figure of the conditions as a field of the page; its range is read from the schema. */
export interface FigureField {
  readonly field: string;
  /** @param stage the name of the stage: "Dry hop". */
  readonly label: (stage: string) => string;
  readonly quantity?: Quantity;
  readonly unit?: string;
  readonly step?: number;
  /** May be left empty. */
  readonly optional?: boolean;
}

/** A part of the conditions that is there or not, with the figures it starts with. */
export interface PartField {
  readonly field: string;
  readonly label: string;
  readonly starts: Readonly<Record<string, number>>;
  readonly figures: readonly FigureField[];
}

/** The fields of the conditions on the page. */
export interface StageFields {
  readonly figures: readonly FigureField[];
  readonly choices?: readonly { readonly field: string; readonly label: string }[];
  readonly parts?: readonly PartField[];
}

/** How figures are written where conditions are told in words. */
export interface Telling {
  readonly temperature: (c: number) => string;
  readonly volume: (l: number) => string;
  readonly whole: (value: number) => string;
}

export interface KindOfStage<Schema extends z.ZodObject = z.ZodObject> {
  /** "Dry hop" */
  readonly name: string;
  readonly conditions: Schema;
  /** Conditions a stage starts with where none are given: usual figures of the trade. */
  readonly usual: z.output<Schema>;
  readonly fields: StageFields;
  /** The conditions in one line: "16 °C, 72 h". */
  readonly told: (conditions: z.output<Schema>, telling: Telling) => string;
  /** What is told beside the stage, because it can hurt someone. */
  readonly cautions: readonly string[];
  /** What lists call it beside its name, in small letters and digits. */
  readonly words: readonly string[];
}

/** Keeps the schema's own type. */
export function kindOfStage<Schema extends z.ZodObject>(
  kind: KindOfStage<Schema>,
): KindOfStage<Schema> {
  return kind;
}
