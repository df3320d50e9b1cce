// Which figures an estimate may rest on: the given figures of other varieties, as logarithms, each variety once.
// Never an estimate, nor the same plant or the same row a second time.
import type { AnalyteId } from '#shared/ids.ts';
import { flooredLog, PREDICTORS, type Predictor } from '#shared/evidence/estimate.ts';
import type { Cells } from '#shared/tables/cells.ts';

/** Names under which one plant is grown; the first with a figure counts for all (hop pages read). */
const SAME_PLANT: readonly (readonly string[])[] = [
  ['Fuggle', 'Styrian Golding', 'Tettnanger (US clone)'],
  ['East Kent Golding', 'Petham Golding'],
];

/** One variety that has the figure in question. */
export interface Witness {
  readonly name: string;
  /** Natural logarithm of the figure, floored. */
  readonly target: number;
  /** Whether it was read or derived, not recalled. */
  readonly read: boolean;
  /** Natural logarithms by predictor; absent where not given. */
  readonly given: Readonly<Partial<Record<Predictor, number>>>;
}

/** Logarithms of the given predictors of a variety, without the figure in question itself. */
export function givenOf(cells: Cells, analyte: AnalyteId): Witness['given'] {
  return Object.fromEntries(
    PREDICTORS.filter((predictor) => predictor !== analyte).flatMap((predictor) => {
      const cell = cells[predictor];
      return cell === undefined || cell.status === 'estimated'
        ? []
        : [[predictor, flooredLog(predictor, cell.central)]];
    }),
  );
}

/** The varieties that an estimate of an analyte may rest on, by name, each plant and each row of figures once. */
export function witnesses(
  analyte: AnalyteId,
  curated: ReadonlyMap<string, Cells>,
): readonly Witness[] {
  const heard: Witness[] = [];
  for (const [name, cells] of [...curated].sort(([a], [b]) => (a < b ? -1 : 1))) {
    const cell = cells[analyte];
    if (cell === undefined || cell.status === 'estimated') continue;
    const witness: Witness = {
      name,
      target: flooredLog(analyte, cell.central),
      read: cell.status !== 'memory',
      given: givenOf(cells, analyte),
    };
    const plant = SAME_PLANT.find((names) => names.includes(name));
    const twice = heard.some((other) => plant?.includes(other.name) || isCopy(other, witness));
    if (!twice) heard.push(witness);
  }
  return heard;
}

/** Whether two varieties have the same figures, at least four of them: then one of the two was copied. */
function isCopy(a: Witness, b: Witness): boolean {
  const both = PREDICTORS.filter((p) => a.given[p] !== undefined && b.given[p] !== undefined);
  return both.length >= 4 && a.target === b.target && both.every((p) => a.given[p] === b.given[p]);
}
