// A blend problem over a few of its varieties: the same rows with fewer columns, so that many small
// questions can be asked quickly. Doses found there are mapped back to the columns of the whole problem.
import { limitsOver } from './limits.ts';
import { buyingIn } from './packages.ts';
import type { BlendProblem } from './problem.ts';
import type { Doses } from './doses.ts';

export interface Restricted {
  readonly problem: BlendProblem;
  /** The doses of this problem as doses of the whole one. */
  readonly inWhole: (doses: Doses) => Doses;
}

/** The problem with the columns of some varieties only; required varieties stay in any case. */
export function restrictedTo(whole: BlendProblem, chosen: readonly number[]): Restricted {
  const varieties = new Set([...whole.required, ...chosen]);
  return ofColumns(
    whole,
    whole.columns.flatMap((c, j) => (varieties.has(c.variety) ? [j] : [])),
  );
}

/** The problem with some columns only, and what is left over of their packages. */
export function restrictedToColumns(whole: BlendProblem, chosen: readonly number[]): Restricted {
  const { bought, of } = buyingIn(whole.columns);
  const kept = new Set(chosen);
  for (const j of chosen) if (of[j]! >= 0) kept.add(bought[of[j]!]!.leftOver);
  return ofColumns(
    whole,
    [...kept].sort((a, b) => a - b),
  );
}

/** @param kept columns that stay, among them one of every required variety. */
function ofColumns(whole: BlendProblem, kept: readonly number[]): Restricted {
  const varieties = [...new Set(kept.map((j) => whole.columns[j]!.variety))].sort((a, b) => a - b);
  const pick = (vector: Float64Array) => Float64Array.from(kept, (j) => vector[j]!);
  const columns = kept.map((j) => {
    const column = whole.columns[j]!;
    return { ...column, variety: varieties.indexOf(column.variety) };
  });
  const dry = pick(whole.dry);
  const dryMost = columns.reduce((sum, { most }, j) => sum + dry[j]! * most, 0);
  const { bitter } = whole;
  return {
    problem: {
      ...whole,
      columns,
      varieties: varieties.map((v) => whole.varieties[v]!),
      columnsOfVariety: varieties.map((_, v) =>
        columns.flatMap((c, j) => (c.variety === v && c.stage !== null ? [j] : [])),
      ),
      objective: pick(whole.objective),
      dry,
      loadMax: Math.min(whole.loadMax, dryMost),
      axes: whole.axes.map((row) => ({
        ...row,
        direct: pick(row.direct),
        damped: row.damped.map(pick),
      })),
      bitter: bitter && {
        ...bitter,
        plain: pick(bitter.plain),
        terms: bitter.terms.map((term) => ({ ...term, alpha: pick(term.alpha) })),
      },
      limits: limitsOver(whole.limits, kept),
      required: whole.required.map((v) => varieties.indexOf(v)),
    },
    inWhole: ({ columns: found, doses }) => ({ columns: found.map((j) => kept[j]!), doses }),
  };
}
