// From text to batches to learn from: a document of batches, or a workspace as the page saves it.
import { isFields } from '#shared/fields.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import { tastingsSchema, type TastedBrew } from '#shared/schemas/tastings.ts';
import { check } from './check.ts';
import { readJson } from './json.ts';
import { pathText } from './path.ts';
import { readWorkspace } from './read-workspace.ts';

/** Batches of a workspace file; one that cannot be read is a fault here. */
function ofWorkspace(text: string): Outcome<readonly TastedBrew[]> {
  const read = readWorkspace(text);
  if (!read.ok) return read;
  if ('kind' in read.value) return success([]);
  const faults = read.value.problems.filter(({ path }) => path.startsWith('batches'));
  return faults.length > 0 ? failure(...faults) : success(read.value.batches);
}

/** Reads batches to learn from. Fails with all problems found, also where an id stands twice. */
export function readTastings(text: string): Outcome<readonly TastedBrew[]> {
  const { value, problems } = readJson(text);
  if (value === undefined || problems.length > 0) return failure(...problems);
  if (isFields(value) && 'format' in value) return ofWorkspace(text);
  const read = check(value, tastingsSchema);
  if (!read.ok) return read;
  const { batches } = read.value;
  const seen = new Set<string>();
  const twice = batches.flatMap(({ id }, i) => {
    if (!seen.has(id)) {
      seen.add(id);
      return [];
    }
    const path = pathText(['batches', i, 'id']);
    return [
      { path, message: `the id ${id} is given twice`, cure: 'Give each batch an id of its own' },
    ];
  });
  return twice.length > 0 ? failure(...twice) : success(batches);
}
