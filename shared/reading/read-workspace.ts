// From the text of a file to the designs, lots and batches in it. A part that cannot be read is named with its
// place and its cure and does not keep the sound ones out. A brief or a schedule alone is taken too: it
// is what the command line reads.
import { isFields, type Fields } from '#shared/fields.ts';
import type { z } from 'zod/mini';
import { check, checkInto } from './check.ts';
import { readJson } from './json.ts';
import { failure, success, type Outcome, type Problem } from '#shared/outcome.ts';
import { pathText } from './path.ts';
import { Problems } from './problems.ts';
import { savedBatchSchema, type SavedBatch } from '#shared/schemas/batch.ts';
import { briefSchema, scheduleSchema, type Brief, type Schedule } from '#shared/schemas/brief.ts';
import {
  IN_FILE,
  savedDesignSchema,
  savedLotSchema,
  SINGLE_IDS,
  SINGLE_PARTS,
  WORKSPACE_FORMAT,
  WORKSPACE_VERSION,
  type SavedDesign,
  type SavedLot,
  type SinglePart,
  type SinglesRead,
} from '#shared/schemas/workspace.ts';

/** What a workspace file holds that can be taken, and what cannot. */
export interface WorkspaceReading extends SinglesRead {
  readonly designs: readonly SavedDesign[];
  readonly lots: readonly SavedLot[];
  readonly batches: readonly SavedBatch[];
  readonly open: string | null;
  readonly problems: readonly Problem[];
}

const FIELDS = ['format', 'version', 'designs', 'lots', 'batches', ...SINGLE_IDS, 'open'];

/** Members of one list, each checked alone; ids given twice are faults of the later one. */
function members<T extends { readonly id: string }>(
  document: Fields,
  field: string,
  most: number,
  schema: z.ZodMiniType<T>,
  problems: Problems,
): T[] {
  const list = document[field];
  if (list === undefined) return [];
  if (!Array.isArray(list)) {
    problems.add(() => ({
      path: field,
      message: 'this is no list',
      cure: 'Give a list in brackets [ ]',
    }));
    return [];
  }
  if (list.length > most) {
    problems.add(() => ({
      path: field,
      message: `the list has ${list.length} entries; only the first ${most} can be taken`,
      cure: 'Split the file into several',
    }));
  }
  const seen = new Set<string>();
  return list.slice(0, most).flatMap((value: unknown, i) => {
    const member = checkInto(problems, (path) => pathText([field, i, ...path]), value, schema);
    if (member === undefined) return [];
    if (seen.has(member.id)) {
      problems.add(() => ({
        path: pathText([field, i, 'id']),
        message: `the id ${member.id} is given twice`,
        cure: 'Give each entry an id of its own',
      }));
      return [];
    }
    seen.add(member.id);
    return [member];
  });
}

function workspaceReading(document: Fields): Outcome<WorkspaceReading> {
  const { version } = document;
  if (typeof version === 'number' && version > WORKSPACE_VERSION) {
    return failure({
      path: 'version',
      message: `the file is of version ${version}, newer than this page knows (${WORKSPACE_VERSION})`,
      cure: 'Open it where it was saved, or with a newer version of this page',
    });
  }
  if (version !== WORKSPACE_VERSION) {
    return failure({
      path: 'version',
      message: 'the version of the file is missing or unknown',
      cure: `Give "version": ${WORKSPACE_VERSION} if the file was saved by this page`,
    });
  }
  const problems = new Problems();
  for (const field of Object.keys(document)) {
    if (FIELDS.includes(field)) continue;
    const cure = 'It is left out';
    problems.add(() => ({
      path: pathText([field]),
      message: 'no such field is known here',
      cure,
    }));
  }
  const designs = members(document, 'designs', IN_FILE.designs, savedDesignSchema, problems);
  const lots = members(document, 'lots', IN_FILE.lots, savedLotSchema, problems);
  const batches = members(document, 'batches', IN_FILE.batches, savedBatchSchema, problems);
  const { open } = document;
  const single = (id: keyof SinglesRead): SinglePart | null => {
    if (document[id] === undefined) return null;
    const part = checkInto<SinglePart>(
      problems,
      (path) => pathText([id, ...path]),
      document[id],
      SINGLE_PARTS[id],
    );
    return part ?? null;
  };
  const singles = Object.fromEntries(SINGLE_IDS.map((id) => [id, single(id)])) as SinglesRead;
  return success({
    designs,
    lots,
    batches,
    ...singles,
    open: typeof open === 'string' ? open : null,
    problems: problems.list,
  });
}

/** A brief or a schedule that stands alone. */
export type Alone =
  | { readonly kind: 'brief'; readonly brief: Brief }
  | { readonly kind: 'schedule'; readonly schedule: Schedule };

/** A brief or a schedule, distinguished by the field that only a schedule has. */
function aloneIn(value: unknown): Outcome<Alone> {
  if (isFields(value) && 'additions' in value) {
    const schedule = check(value, scheduleSchema);
    return schedule.ok ? success({ kind: 'schedule', schedule: schedule.value }) : schedule;
  }
  const brief = check(value, briefSchema);
  return brief.ok ? success({ kind: 'brief', brief: brief.value }) : brief;
}

/** Reads a workspace file, or a brief or schedule alone. Fails where nothing of it can be taken. */
export function readWorkspace(text: string): Outcome<WorkspaceReading | Alone> {
  const { value, problems } = readJson(text);
  if (value === undefined || problems.length > 0) return failure(...problems);
  if (!isFields(value)) {
    return failure({
      path: '',
      message: 'this is no workspace file',
      cure: 'Open a file that was saved here, or a brief or schedule in JSON',
    });
  }
  if ('format' in value && value['format'] !== WORKSPACE_FORMAT) {
    return failure({
      path: 'format',
      message: 'the file is of another kind',
      cure: `Open a file whose format is "${WORKSPACE_FORMAT}"`,
    });
  }
  return 'format' in value ? workspaceReading(value) : aloneIn(value);
}
