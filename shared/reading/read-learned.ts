// From text to what tastings taught: the document of it alone, as the page saves it, the answer of the verb
// learn, or a workspace that keeps it.
import { isFields } from '#shared/fields.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import { learnedSchema, type Learned } from '#shared/schemas/learned.ts';
import { check } from './check.ts';
import { readJson } from './json.ts';
import { readWorkspace } from './read-workspace.ts';

const NONE = {
  path: 'learning',
  message: 'nothing was learned in this workspace',
  cure: 'Learn from tastings under Brew first, or give what learn --json wrote',
};

/** What a workspace keeps, also where it is switched off: whoever names the file wants it used. */
function ofWorkspace(text: string): Outcome<Learned> {
  const read = readWorkspace(text);
  if (!read.ok) return read;
  if ('kind' in read.value) return failure(NONE);
  const faults = read.value.problems.filter(({ path }) => path.startsWith('learning'));
  if (faults.length > 0) return failure(...faults);
  return read.value.learning ? success(read.value.learning.learned) : failure(NONE);
}

/** Reads what tastings taught. Fails with all problems found. */
export function readLearned(text: string): Outcome<Learned> {
  const { value, problems } = readJson(text);
  if (value === undefined || problems.length > 0) return failure(...problems);
  if (isFields(value) && 'format' in value) return ofWorkspace(text);
  if (!isFields(value) || !('learned' in value)) return check(value, learnedSchema);
  const read = check(value.learned, learnedSchema);
  if (read.ok) return read;
  return failure(...read.problems.map((p) => ({ ...p, path: `learned.${p.path}` })));
}
