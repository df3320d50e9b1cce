// Rows of a hop schedule to additions, each row on its own like those of a list of lots: grams of a lot
// at a stage. A list that gives minutes of boil is asked for one boil, because its stages stand beside it.
import { check } from '#shared/reading/check.ts';
import type { ListRow } from './csv.ts';
import { readCells, type ListReading, type ReadRow } from './lot-list.ts';
import { failure, success, type Problem } from '#shared/outcome.ts';
import { additionSchema, type Addition } from '#shared/schemas/brief.ts';

/** Words for the boil that also say when: "60 min", "boil 10", "first wort". */
const TIMED_BOIL = /boil.*\d|\d.*boil|first wort|^fwh$|^\d+ *(m|min|minutes)?$/i;

/** Reads one row to an addition. `known` says what else is wrong with it, like an unknown variety. */
export function readAddition(
  row: ListRow,
  reading: ListReading,
  known: (addition: Addition) => readonly Problem[] = () => [],
): ReadRow<Addition> {
  return readCells(row, reading, (fields) => {
    const { stage } = fields;
    if (typeof stage === 'string' && TIMED_BOIL.test(stage)) {
      return failure({
        path: 'stage',
        message: `"${stage}" names a time in the boil, which stands under the stages`,
        cure: 'Write boil, and set its minutes under Stages; leave out what goes in at another time of the boil',
      });
    }
    const outcome = check(fields, additionSchema);
    if (!outcome.ok) return outcome;
    const problems = known(outcome.value);
    return problems.length > 0 ? failure(...problems) : success(outcome.value);
  });
}
