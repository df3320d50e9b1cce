// Turns kept batches into evidence: each batch is tied to the hop table, its scores and lab figures get the
// precision by which they are weighed, and its hops the delivery they came from.
import { AXES } from '#shared/ids.ts';
import { nameKey } from '#shared/name-key.ts';
import { failure, success, type Outcome, type Problem } from '#shared/outcome.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import type { Learned } from '#shared/schemas/learned.ts';
import type { TastedBrew } from '#shared/schemas/tastings.ts';
import { designOf } from '#engine/predict/design.ts';
import { atOnce, type Parts } from '#engine/doubt/parts.ts';
import type { Model } from '#engine/tables/model.ts';
import type { LabReading, NoteScore, Tasted } from './evidence.ts';
import { learning, type Lesson } from './learn.ts';
import { LAB_PRECISION } from './next.ts';

/** Relative standard deviation of a bitterness measured once (common practice, no source). */
const IBU_PRECISION = 0.07;

/**
 * The delivery that the hops of an addition came from: hops with the same analysis are from one delivery; where
 * there is no analysis, each batch has a delivery of its own.
 */
function deliveryOf(batch: string, { hop, form, analysis }: Addition): string {
  const kind = `${nameKey(hop)} ${form}`;
  return analysis && Object.keys(analysis).length > 0
    ? `${kind} ${JSON.stringify(Object.entries(analysis).sort())}`
    : `${batch} ${kind}`;
}

/** The scores that tasters gave. */
export function scoresOf({ tastings }: Pick<TastedBrew, 'tastings'>): NoteScore[] {
  return tastings.flatMap(({ taster, scores }) =>
    AXES.flatMap((axis): NoteScore[] => {
      const score = scores[axis];
      return score === undefined ? [] : [{ taster, axis, score }];
    }),
  );
}

/**
 * The figures that a lab measured. A result of "nothing found" says only that there was too little to measure:
 * its logarithm is not known, so it is left out.
 */
function readingsOf({ lab, measured: { ibu } }: TastedBrew): LabReading[] {
  const compounds = lab.flatMap(({ compound, ug_per_l: value, sd_ug_per_l: sd }): LabReading[] =>
    value > 0 ? [{ of: compound, value, precision: (sd || value * LAB_PRECISION) / value }] : [],
  );
  const bitterness: LabReading[] =
    ibu === undefined || ibu <= 0 ? [] : [{ of: 'ibu', value: ibu, precision: IBU_PRECISION }];
  return [...compounds, ...bitterness];
}

/**
 * Batches as evidence, without those of which nothing was scored or measured. Fails with every hop that is not
 * found.
 */
export function evidenceIn(model: Model, brews: readonly TastedBrew[]): Outcome<Tasted[]> {
  const problems: Problem[] = [];
  const batches: Tasted[] = [];
  brews.forEach((brew, i) => {
    const [scores, lab] = [scoresOf(brew), readingsOf(brew)];
    if (scores.length + lab.length === 0) return;
    const design = designOf(model, brew.brewed);
    if (!design.ok) {
      const at = `batches[${i}].brewed`;
      problems.push(...design.problems.map((p) => ({ ...p, path: `${at}.${p.path}` })));
      return;
    }
    const deliveries = brew.brewed.additions.map((a) => deliveryOf(brew.id, a));
    batches.push({ id: brew.id, design: design.value, deliveries, scores, lab });
  });
  if (problems.length > 0) return failure(...problems);
  if (batches.length === 0) {
    return failure({
      path: 'batches',
      message: 'no batch was tasted or measured, so there is nothing to learn',
      cure: 'Give a batch tastings with scores, lab figures, or measured.ibu',
    });
  }
  return success(batches);
}

/** What kept batches teach about a model that has learned nothing yet. */
export function learnFrom(...of: Parameters<typeof learningFrom>): Outcome<Lesson> {
  return atOnce(learningFrom(...of));
}

/** The same in parts. */
export function* learningFrom(
  plain: Model,
  brews: readonly TastedBrew[],
  named: Pick<Learned, 'version' | 'made'>,
): Parts<Outcome<Lesson>> {
  const batches = evidenceIn(plain, brews);
  yield;
  return batches.ok ? success(yield* learning(plain, batches.value, named)) : batches;
}
