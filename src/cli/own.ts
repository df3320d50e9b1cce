// The model a command asks: the published one, with the own tables of the files it names laid over it. A row
// that cannot be taken is refused with its file, row, column and cure; nothing is answered then.
import { failure, success, type Outcome, type Problem } from '#shared/outcome.ts';
import { textOfFile } from '#shared/reading/text-file.ts';
import { OWN_BYTES_MAX, type OwnTables } from '#shared/schemas/own-tables.ts';
import { readOwnTables, withOwn } from '#shared/tables/own-tables.ts';
import { model, type Model } from '#engine/tables/model.ts';
import { ownModel } from '#engine/tables/own.ts';
import { inputName, readBytes, type Streams } from './input.ts';

/** Fails with every row of every file that cannot be taken. */
export function baseModel(files: readonly string[], streams: Streams): Outcome<Model> {
  let own: OwnTables = {};
  const problems: Problem[] = [];
  for (const file of files) {
    const read = ownTablesIn(file, streams);
    if (read.ok) own = withOwn(own, read.value);
    else problems.push(...read.problems.map((p) => ({ ...p, path: placed(file, p.path) })));
  }
  if (problems.length > 0) return failure(...problems);
  const laid = ownModel(model, own);
  return laid.problems.length > 0 ? failure(...laid.problems) : success(laid.model);
}

const placed = (file: string, path: string) =>
  [inputName(file), path].filter((part) => part !== '').join(', ');

function ownTablesIn(file: string, streams: Streams): Outcome<OwnTables> {
  const bytes = readBytes(file, streams);
  if (!bytes.ok) return bytes;
  const kind = 'own tables as CSV, or as JSON the page saved';
  const text = textOfFile(bytes.value, kind, OWN_BYTES_MAX);
  return text.ok ? readOwnTables(text.value.text) : text;
}
