// What a kind of stage says of itself to people: name, conditions with their fields on the page, cautions, and the
// words that lists have for it. What brewing does there is computed by its module in the engine.
import type { FormId } from '#shared/ids.ts';
import type { Celsius, GramsPerLitre, Litres, Quantity } from '#shared/units.ts';
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

/** How figures are written where conditions are put in words. */
export interface ConditionFormat {
  readonly temperature: (c: Celsius) => string;
  readonly volume: (l: Litres) => string;
  readonly time: (value: number, unit: 'min' | 'h') => string;
  readonly day: (value: number) => string;
}

/** A named way of adding hops; common practice, no source. */
export interface Practice {
  readonly name: string;
  readonly words: readonly string[];
  readonly conditions: Readonly<Record<string, number>>;
  /** In the kettle from the first wort on: over the whole boil. */
  readonly wholeBoil?: true;
}

export interface KindOfStage<Schema extends z.ZodMiniObject = z.ZodMiniObject> {
  /** "Dry hop" */
  readonly name: string;
  readonly conditions: Schema;
  /** Conditions a stage starts with where none are given: usual figures of the trade. */
  readonly usual: z.output<Schema>;
  readonly fields: StageFields;
  /** The conditions in one line: "16 °C, 72 h". */
  readonly conditionsWords: (conditions: z.output<Schema>, format: ConditionFormat) => string;
  /** Cautions shown beside the stage, because it can hurt someone. */
  readonly cautions: readonly string[];
  /** What lists call it beside its name, in the languages of the trade: small letters without accents. */
  readonly words: readonly string[];
  /** Which condition a list's figures of time and temperature, and its day, are for. */
  readonly listed: {
    readonly time: { readonly field: string; readonly perMinute: number };
    readonly temperature?: string;
    readonly day?: string;
    /** Whether a bare number is minutes, as in "boil 10"; else a bare number says nothing. */
    readonly bareMinutes?: true;
  };
  /** Forms brewers put in there, where these are not all; common practice, no source. */
  readonly usualForms?: readonly FormId[];
  /** The most hops a new design puts in there, all together, g per L of beer; common practice, no source. */
  readonly usualMost?: GramsPerLitre;
  /** Whether its hops go into cold beer; every other kind is hot, with a usual largest dose. */
  readonly isCold?: true;
  /** How open standards for recipes name the use of its hops. */
  readonly recipes: {
    readonly beerxml: string;
    readonly beerjson: 'add_to_mash' | 'add_to_boil' | 'add_to_fermentation';
  };
  /** Ways of adding hops that lists name on their own. */
  readonly practices?: readonly Practice[];
  /** Where a stage stands among those of its kind that come in together: the smaller, the earlier. */
  readonly placedBy?: string;
  readonly latestFirst?: true;
}

/** Keeps the schema's own type. */
export function kindOfStage<Schema extends z.ZodMiniObject>(
  kind: KindOfStage<Schema>,
): KindOfStage<Schema> {
  return kind;
}
