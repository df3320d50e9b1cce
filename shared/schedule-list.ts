// Rows of a hop schedule to additions, each row on its own like those of a list of lots: grams of a lot
// at a stage. Additions to the boil are told apart, because nothing here predicts their aroma.
import { check } from './check.ts';
import type { ListRow } from './csv.ts';
import { readCells, type ListReading, type ReadRow } from './lot-list.ts';
import { failure, success, type Problem } from './outcome.ts';
import { additionSchema, type Addition } from './schemas/brief.ts';

/** Words for the boil, its minutes as well: "boil", "60 min", "first wort". */
const BOIL = /boil|first wort|^fwh$|^\d+ *(m|min|minutes)?$/i;

/** Reads one row to an addition. `known` says what else is wrong with it, like an unknown variety. */
export function readAddition(
  row: ListRow,
  reading: ListReading,
  known: (addition: Addition) => readonly Problem[] = () => [],
): ReadRow<Addition> {
  return readCells(row, reading, (fields) => {
    const { stage } = fields;
    if (typeof stage === 'string' && BOIL.test(stage)) {
      return failure({
        path: 'stage',
        message: `"${stage}" is the boil, of which no aroma is predicted`,
        cure: 'Leave the line out, or write hot_steep if the hop goes in after the boil',
      });
    }
    const outcome = check(fields, additionSchema);
    if (!outcome.ok) return outcome;
    const problems = known(outcome.value);
    return problems.length > 0 ? failure(...problems) : success(outcome.value);
  });
}
