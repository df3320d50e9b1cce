// Which cells of the hop table a JSON answer's figures stand on: for each blend in it the cells,
// thresholds and weights behind every compound, axis and bitterness, and each of them once with its
// status and sources. The verb source gives in full what an id stands for.
import { AXES, COMPOUNDS, type Status } from '#shared/ids.ts';
import type { Warning } from '#shared/answers/prediction.ts';
import { withProvenance, type AnswerKind, type Provenance } from '#shared/evidence/provenance.ts';
import { derivationOf, workingOf } from '#engine/evidence/derivation.ts';
import type { Design } from '#engine/predict/design.ts';
import type { Model } from '#engine/tables/model.ts';
import type { Leaf } from '#engine/symbols/term.ts';

/** A row of a table behind an answer. */
export interface CellUsed {
  readonly id: string;
  readonly status: Status;
  readonly sources: readonly string[];
}

/** A blend in an answer: where its figures stand, as the beginning of their paths, and what it is. */
export interface PlacedBlend {
  readonly at: string;
  readonly design: Design;
  readonly warnings?: readonly Warning[];
}

/** Rows, and prices somebody gave: parameters and doses are named by the equations. */
const CITED_CELLS = /^(cell|estimator|threshold|weight|input\/(analysis|price_per_kg|package_g))\//;

/** Patterns of paths at which figures of a kind stand in a blend. */
const AT = {
  compound: (c: string) => [`compounds.${c}.**`, `shelf.points.*.compounds.${c}`],
  axis: (a: string) => [
    `axes.${a}`,
    `axes.${a}.**`,
    `shelf.points.*.axes.${a}.*`,
    `rests_on.${a}.*`,
    `doubt.${a}.**`,
    `changes.${a}.*`,
  ],
} as const;

function patternsOf(placed: PlacedBlend, model: Model, seen: Map<string, Leaf>): Provenance {
  const { at, design, warnings = [] } = placed;
  const working = workingOf(model, design);
  const patterns: Record<string, readonly string[]> = {};
  const rowsBehind = (id: string) => {
    const leaves = derivationOf(working, id)?.leaves ?? [];
    return leaves.filter((leaf) => CITED_CELLS.test(leaf.id!));
  };
  const add = (paths: readonly string[], leaves: readonly Leaf[], under = at) => {
    if (leaves.length === 0) return;
    for (const leaf of leaves) seen.set(leaf.id!, leaf);
    const ids = [...new Set(leaves.map(({ id }) => id!))];
    for (const path of paths) patterns[under === '' ? path : `${under}.${path}`] = ids;
  };
  for (const c of COMPOUNDS) {
    const brought = rowsBehind(`equation/concentration/${c}`);
    add(AT.compound(c), brought);
    const threshold = rowsBehind(`equation/odour_activity/${c}`).filter((leaf) =>
      leaf.id!.startsWith('threshold/'),
    );
    add(
      ['oav', 'oav_low', 'oav_high'].map((end) => `compounds.${c}.${end}`),
      threshold,
    );
  }
  for (const a of AXES) {
    const behind = rowsBehind(`equation/intensity/${a}`);
    add(AT.axis(a), behind);
    if (at === 'blends.0') add([`why.contributions.*.axes.${a}.*`], behind, '');
  }
  const bitter = rowsBehind('equation/ibu');
  for (const id of ['ibu', 'bitter_taste_mg_per_l']) {
    add([`totals.${id}`, `totals_band.${id}.*`, `totals_change.${id}`], bitter);
  }
  add(['totals.cost', 'totals_change.cost'], rowsBehind('equation/cost'));
  warnings.forEach(({ id }, i) => {
    if (id === 'steep_bitter') add([`warnings.${i}.figure`], bitter);
  });
  return patterns;
}

/**
 * An answer with where every figure of it is from, down to the cells of the blends in it.
 * @param model as the document has it judged.
 */
export function withCells<Document extends object>(
  kind: AnswerKind,
  model: Model,
  document: Document,
  blends: readonly PlacedBlend[],
) {
  const seen = new Map<string, Leaf>();
  const patterns = Object.assign(
    {},
    ...blends.map((b) => patternsOf(b, model, seen)),
  ) as Provenance;
  const { provenance, ...rest } = withProvenance(kind, document, patterns);
  const named = new Set(Object.values(provenance).flat());
  // A price has no status: nobody doubts it.
  const cells = [...seen.values()].flatMap(({ id, status, sources }): CellUsed[] =>
    status && named.has(id!) ? [{ id: id!, status, sources }] : [],
  );
  return { ...rest, cells, ...(model.own && { own: model.own }), provenance };
}
