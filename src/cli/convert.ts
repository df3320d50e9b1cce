// The verbs convert and check: a hop schedule from one kind of file to another, and whether a file is one
// of ours.
import { failure, sentence, success, type Outcome } from '#shared/outcome.ts';
import { csvText } from '#shared/lists/csv.ts';
import { scheduleRows } from '#shared/lists/schedule-rows.ts';
import { DOCUMENT_NAMES, documentKind } from '#shared/reading/document-kind.ts';
import { readBrief, readSave, readSchedule, readSwap } from '#shared/reading/read.ts';
import { readWorkspace } from '#shared/reading/read-workspace.ts';
import { textOfFile } from '#shared/reading/text-file.ts';
import type { ReadRecipe } from '#shared/recipes/recipe.ts';
import { readRecipe, writeRecipe } from '#shared/recipes/recipes.ts';
import type { Schedule } from '#shared/schemas/brief.ts';
import { designOf } from '#engine/predict/design.ts';
import { findHop } from '#engine/lot/composition.ts';
import type { Model } from '#engine/tables/model.ts';
import { readBytes, type Streams } from './input.ts';
import type { ConvertTo } from './options.ts';
import type { Answered } from './predict.ts';

/** The text of a file as people's programs write it. */
export function fileText(file: string, streams: Streams): Outcome<string> {
  const bytes = readBytes(file, streams);
  if (!bytes.ok) return bytes;
  const text = textOfFile(bytes.value, 'a schedule, a BeerJSON or a BeerXML recipe');
  return text.ok ? success(text.value.text) : text;
}

function scheduleIn(text: string): Outcome<ReadRecipe> {
  const kind = documentKind(text);
  if (kind === 'beerjson' || kind === 'beerxml') return readRecipe(kind, text);
  if (kind === 'brief' || kind === 'workspace') {
    return failure({
      path: '',
      message: `this is ${DOCUMENT_NAMES[kind]}, which is not a single schedule`,
      cure: 'Give a schedule, a BeerJSON or a BeerXML recipe',
    });
  }
  const schedule = readSchedule(text);
  return schedule.ok ? success({ schedule: schedule.value, supposed: [] }) : schedule;
}

function written(model: Model, schedule: Schedule, to: ConvertTo): Outcome<string> {
  const alphaOf = (hop: string) => findHop(model, hop)?.cells.alpha_pct?.central ?? null;
  switch (to) {
    case 'json':
      return success(`${JSON.stringify(schedule, null, 2)}\n`);
    case 'csv':
      return success(csvText(scheduleRows(schedule)));
    case 'beerjson':
    case 'beerxml':
      return writeRecipe(to, schedule, alphaOf);
  }
}

/** A converted file, and what its reader should know, sentences. */
export interface Converted {
  readonly text: string;
  readonly notes: readonly string[];
}

/** The hop schedule of a text as a file of another kind. Fails with every problem of the text. */
export function convertText(model: Model, text: string, to: ConvertTo): Outcome<Converted> {
  const read = scheduleIn(text);
  if (!read.ok) return read;
  const { schedule, supposed } = read.value;
  const out = written(model, schedule, to);
  if (!out.ok) return out;
  const { recipe } = schedule;
  const left =
    recipe && to !== 'json' && to !== recipe.format
      ? ['Only the hops are converted; the rest of the recipe is left out.']
      : [];
  return success({ text: out.value, notes: [...supposed, ...left] });
}

/** Says what a text is, and fails with everything that is wrong with it. */
export function checkText(model: Model, text: string): Outcome<Answered> {
  const kind = documentKind(text);
  const notes: string[] = [];
  const outcome = ((): Outcome<unknown> => {
    switch (kind) {
      case 'brief':
        return readBrief(text);
      case 'swap':
        return readSwap(text);
      case 'save':
        return readSave(text);
      case 'workspace': {
        const read = readWorkspace(text);
        const faults = read.ok && 'problems' in read.value ? read.value.problems : [];
        return faults.length > 0 ? failure(...faults) : read;
      }
      case 'schedule':
      case 'beerjson':
      case 'beerxml': {
        const read = scheduleIn(text);
        if (!read.ok) return read;
        notes.push(...read.value.supposed);
        const design = designOf(model, read.value.schedule);
        if (!design.ok && kind === 'schedule') return design;
        // A recipe may name hops the table does not know: it is sound, and they are reported.
        if (!design.ok)
          notes.push(...design.problems.map((p) => sentence('', p).replace(/^: /, '')));
        return read;
      }
    }
  })();
  if (!outcome.ok) return outcome;
  const lines = [`This is ${DOCUMENT_NAMES[kind]}, and it is valid.`, ...notes];
  return success({ json: { kind, notes }, text: `${lines.join('\n')}\n` });
}
