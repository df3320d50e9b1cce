// The workspace a person keeps: saved designs, lots of the stock, batches brewed, the usual schedule. The same
// document in the browser's database, in a workspace file and, one design of it, in a share link.
// Answers are not in it, only the additions of the last blend: they are computed anew when needed.
import { figure, rule } from '#shared/rules.ts';
import type { Celsius } from '#shared/units.ts';
import { onFirstUse, z } from '#shared/zod.ts';
import { briefSchema, scheduleSchema } from './brief.ts';
import { additionSchema, candidateSchema } from './lot.ts';
import { HARVEST_YEAR_MAX, HARVEST_YEAR_MIN } from './sizes.ts';
import type { SavedBatch } from './batch.ts';
import { keptLearningSchema } from './learned.ts';
import { ownTablesSchema } from './own-tables.ts';
import { plannedSeasonSchema } from './planned-season.ts';
import { recipeSchema } from './recipe.ts';
import { noteSchema, recordId } from './record.ts';

/** Marks a file as a workspace. */
export const WORKSPACE_FORMAT = 'blendbine-workspace';
/** Raised when a document of before could no longer be read as it stands. */
export const WORKSPACE_VERSION = 1;

/** Begins the fragment of an address that carries a shared design. */
export const SHARE_PREFIX = '#design=';

/** How much a workspace may hold. */
export interface Room {
  readonly designs: number;
  readonly lots: number;
  readonly batches: number;
}
/** How much a workspace may grow to by edits. */
export const BY_EDITS: Room = { designs: 500, lots: 5000, batches: 1000 };
/**
 * The most that is read of a file: more than any workspace comes to hold, so that whatever was saved comes back. Two
 * tabs can each fill the room that is left, and earlier versions had no limit.
 */
export const IN_FILE: Room = { designs: 5000, lots: 50_000, batches: 10_000 };

export const ownAdditionSchema = onFirstUse(() =>
  z.extend(additionSchema, {
    /** Stays as it is when the rest is designed anew. */
    locked: z._default(z.boolean().check(z.describe('whether the addition stays as it is')), false),
  }),
);
/** An addition of a blend made by hand. */
export type OwnAddition = z.infer<typeof ownAdditionSchema>;

export const savedDesignSchema = onFirstUse(() =>
  z.strictObject({
    id: recordId,
    /** Carries the name of the design. */
    brief: briefSchema.check(z.describe('the brief of the design')),
    /** Additions of the last blend that answered this very brief; absent until there is one. */
    blend: z.optional(z.array(additionSchema).check(z.maxLength(500))),
    /** The blend as edited by hand, shown in place of the designed one; absent until somebody edits it. */
    own: z.optional(z.array(ownAdditionSchema).check(z.maxLength(500))),
    /** The batch whose misses it corrects. */
    follows: z.optional(recordId.check(z.describe('the id of the batch it follows'))),
    saved_at: z.iso
      .datetime()
      .check(z.describe('when it was saved last, like 2026-03-31T10:00:00Z')),
    note: z._default(noteSchema, ''),
    /** The recipe it was read from, in an open standard: beside the hops it goes out again as it came. */
    recipe: z.optional(recipeSchema),
  }),
);
/** One design: what is wished, and the last blend for it. */
export type SavedDesign = z.infer<typeof savedDesignSchema>;

/** How a lot is packed: without air, under an inert gas, or open to air. */
export const PACKS = ['vacuum', 'inert_gas', 'open'] as const;

const yearOf = (day: string) => Number(day.slice(0, 4));
/** Month and day before which no hops are picked anywhere in a year; common practice, no source. */
const FIRST_PICKING = '02-01';

export const savedLotSchema = onFirstUse(() =>
  z
    .safeExtend(candidateSchema, {
      id: recordId,
      opened_on: z.optional(
        z.iso.date().check(
          z.refine(
            (day) => !(yearOf(day) < HARVEST_YEAR_MIN || yearOf(day) > HARVEST_YEAR_MAX),
            `the day is not of the years ${HARVEST_YEAR_MIN} to ${HARVEST_YEAR_MAX}`,
          ),
          z.describe('the day the pack was opened, like 2026-03-31'),
        ),
      ),
      storage_temp_c: z.optional(
        figure<Celsius>(-80, 50, 'the storage temperature in C, like -18'),
      ),
      pack: z.optional(z.enum(PACKS).check(z.describe('how the lot is packed'))),
      /** Hop storage index, the ratio of absorbances at 275 and 325 nm; about 0.25 when fresh. */
      storage_index: z.optional(figure(0, 3, 'the hop storage index')),
      /** Own words about the lot. */
      note: z._default(noteSchema, ''),
      out_of_stock: z._default(z.boolean().check(z.describe('whether the lot is used up')), false),
    })
    .check(
      z.refine(
        ({ opened_on, harvest_year }) =>
          typeof opened_on !== 'string' ||
          typeof harvest_year !== 'number' ||
          opened_on >= `${harvest_year}-${FIRST_PICKING}`,
        {
          ...rule(
            'the pack was opened before the hops were picked',
            'Correct opened_on or harvest_year, or leave one of them out',
          ),
          path: ['opened_on'],
        },
      ),
    ),
);
/** One lot of the stock. */
export type SavedLot = z.infer<typeof savedLotSchema>;

/** Parts of which there is one at most, by their field; absent until there is something in it. */
export const SINGLE_PARTS = {
  /** What is brewed usually: its totals stand beside those of a design. */
  usual: scheduleSchema,
  /** What tastings taught. */
  learning: keptLearningSchema,
  /** Tables of one's own. */
  own_tables: ownTablesSchema,
  /** What is to be brewed next. */
  season: plannedSeasonSchema,
} as const;
export type SingleId = keyof typeof SINGLE_PARTS;
export const SINGLE_IDS = Object.keys(SINGLE_PARTS) as SingleId[];
export type SinglePart<Id extends SingleId = SingleId> = z.infer<(typeof SINGLE_PARTS)[Id]>;
/** Every one of them, `null` where there is none. */
export type SinglesRead = { readonly [Id in SingleId]: SinglePart<Id> | null };
export const NO_SINGLES: SinglesRead = {
  usual: null,
  learning: null,
  own_tables: null,
  season: null,
};

export function isSingle(key: string): key is SingleId {
  return Object.hasOwn(SINGLE_PARTS, key);
}

/** A part that is absent is one that nobody has filled. */
type SinglesKept = { [Id in SingleId]?: SinglePart<Id> | undefined };

/** The whole; its schema stands in `workspace-file.ts`, for the page checks part by part. */
export interface WorkspaceDocument extends SinglesKept {
  format: typeof WORKSPACE_FORMAT;
  version: typeof WORKSPACE_VERSION;
  designs: SavedDesign[];
  lots: SavedLot[];
  batches: SavedBatch[];
  /** Id of the open design. */
  open: string;
}
