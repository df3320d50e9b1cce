// A tasting table as CSV: a row a glass, one column says who tasted, each note has a column under its name;
// perhaps a code of the glass and a day. An empty cell is a note nobody judged.
import { AXES, type AxisId } from '#shared/ids.ts';
import { failure, success, type Outcome, type Problem } from '#shared/outcome.ts';
import { check } from '#shared/reading/check.ts';
import { tastingSchema, type Tasting } from '#shared/schemas/tasting.ts';
import { AXIS_NAMES } from '#shared/words.ts';
import { csvRows } from './csv.ts';
import { decimalMarksOf, numberOf } from './figures.ts';
import { joined } from './folding.ts';

type Meaning = 'taster' | 'sample' | 'tasted_on' | AxisId;

/** What a column may be called, as `joined` has it; the German, Czech and French of the same. */
const CALLED: Readonly<Record<string, Meaning>> = {
  taster: 'taster',
  initials: 'taster',
  prufer: 'taster',
  verkoster: 'taster',
  hodnotitel: 'taster',
  degustateur: 'taster',
  sample: 'sample',
  glass: 'sample',
  glas: 'sample',
  code: 'sample',
  date: 'tasted_on',
  day: 'tasted_on',
  tastedon: 'tasted_on',
  datum: 'tasted_on',
  ...Object.fromEntries(
    AXES.flatMap((axis): [string, Meaning][] => [
      [joined(axis), axis],
      [joined(AXIS_NAMES[axis]), axis],
    ]),
  ),
};

const isAxis = (meaning: Meaning | undefined): meaning is AxisId =>
  AXES.includes(meaning as AxisId);

/**
 * Reads a tasting table; the order of the glasses goes on from `first`. Fails with every row that cannot
 * be read, and where no column names the taster or no column is a note.
 */
export function readTastingList(text: string, first: number): Outcome<Tasting[]> {
  const read = csvRows(text);
  if (!read.ok) return read;
  const [head, ...rows] = read.value.rows;
  const meanings = (head?.cells ?? []).map((cell) => CALLED[joined(cell)]);
  if (!meanings.includes('taster') || !meanings.some(isAxis)) {
    return failure({
      path: `line ${head?.line ?? 1}`,
      message: 'no column says who tasted, or none is a note',
      cure: `Head a column taster, and those of the notes like ${AXIS_NAMES.citrus}`,
    });
  }
  // A score has no thousands, so that a figure in doubt can only have a decimal mark as written.
  const mark = decimalMarksOf(rows, meanings.map(isAxis), read.value.delimiter).mark ?? 'point';
  const problems: Problem[] = [];
  const tastings = rows.flatMap(({ line, cells: own }, at): Tasting[] => {
    const scores: Partial<Record<AxisId, number>> = {};
    const words: Partial<Record<'taster' | 'sample' | 'tasted_on', string>> = {};
    meanings.forEach((meaning, i) => {
      const cell = (own[i] ?? '').trim();
      if (!meaning || cell === '') return;
      if (!isAxis(meaning)) words[meaning] = cell;
      else {
        const score = numberOf(cell, mark);
        if (score !== null) scores[meaning] = score;
        else {
          const message = `"${cell}" is not a score`;
          const cure = 'Write a number from 0 to 7, or leave the cell empty';
          problems.push({ path: `line ${line}`, message, cure });
        }
      }
    });
    const checked = check({ ...words, order: first + at, scores }, tastingSchema);
    if (checked.ok) return [checked.value];
    problems.push(...checked.problems.map((p) => ({ ...p, path: `line ${line}: ${p.path}` })));
    return [];
  });
  if (problems.length > 0) return failure(...problems);
  if (tastings.length > 0) return success(tastings);
  const message = 'the table has no row under its head';
  return failure({ path: 'table', message, cure: 'Give a row for each glass' });
}
