// A design that the engine can compute: every addition tied to a lot with its composition. Turns a schedule
// document into one, or says which line cannot be computed and why.
import { failure, success, type Outcome, type Problem } from '#shared/outcome.ts';
import type { Batch, Brief, Schedule } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import { DOSE_G_PER_L_MAX } from '#shared/schemas/sizes.ts';
import { pathText } from '#shared/reading/path.ts';
import { stagesOf, type Stages } from '#shared/stages/stages.ts';
import { nameKey } from '#shared/name-key.ts';
import type { Grams } from '#shared/units.ts';
import { lotOf, type Lot, type LotSpec } from '#engine/lot/composition.ts';
import type { Model } from '#engine/tables/model.ts';

export interface LotAddition {
  readonly lot: Lot;
  /** Key of the stage. */
  readonly stage: string;
  readonly grams: Grams;
}

export interface Design {
  readonly name: string;
  readonly batch: Batch;
  readonly stages: Stages;
  readonly additions: readonly LotAddition[];
}

/** Two specs of the same key are the same lot and share one composition. */
export function lotKey(spec: LotSpec): string {
  return [
    nameKey(spec.hop),
    spec.form,
    spec.price_per_kg ?? '',
    spec.package_g ?? '',
    JSON.stringify(Object.entries(spec.analysis ?? {}).sort()),
    JSON.stringify(Object.entries(spec.storage ?? {}).sort()),
  ].join('|');
}

/** Figures in which most lots of one hop differ. */
const DISTINGUISHING = ['alpha_pct', 'total_oil_ml_per_100g', 'linalool_pct_of_oil'] as const;

/**
 * Whether two specs of one hop may have the same key, judged by a few figures; it saves making the keys of a
 * long list.
 */
export function mayBeSameLot(one: LotSpec, other: LotSpec): boolean {
  return (
    one.form === other.form &&
    one.price_per_kg === other.price_per_kg &&
    DISTINGUISHING.every((figure) => one.analysis?.[figure] === other.analysis?.[figure])
  );
}

function additionProblems(schedule: Schedule, addition: Addition, path: string): Problem[] {
  const problems: Problem[] = [];
  const { stage } = addition;
  const used = stagesOf(schedule.stages).map(({ key }) => key);
  if (addition.grams > 0 && !used.includes(stage)) {
    const described = pathText(['stages', stage]);
    problems.push({
      path: `${path}.stage`,
      message: `hops go into ${stage}, but ${described} is not described`,
      cure: `Add ${described}, or use one of: ${used.join(', ') || 'none is described'}`,
    });
  }
  const dose = addition.grams / schedule.batch.beer_l;
  if (dose > DOSE_G_PER_L_MAX) {
    problems.push({
      path: `${path}.grams`,
      message: `${addition.grams} g in ${schedule.batch.beer_l} L is ${Math.round(dose)} g/L, over the ${DOSE_G_PER_L_MAX} g/L taken for one addition`,
      cure: 'Check the grams and batch.beer_l',
    });
  }
  return problems;
}

/** How many lots are kept for each model by their key, so that the lines made from them are kept too. */
const LOTS_KEPT = 64;
const lotsMade = new WeakMap<Model, Map<string, Lot>>();

/** The lot of a spec; the same object for the same key as long as it is kept. */
function sameLot(model: Model, spec: LotSpec): Outcome<Lot> {
  let made = lotsMade.get(model);
  if (!made) lotsMade.set(model, (made = new Map()));
  const key = lotKey(spec);
  const known = made.get(key);
  if (known) {
    made.delete(key);
    made.set(key, known);
    return success(known);
  }
  const outcome = lotOf(model, spec);
  if (!outcome.ok) return outcome;
  made.set(key, outcome.value);
  for (const oldest of [...made.keys()].slice(0, -LOTS_KEPT)) made.delete(oldest);
  return outcome;
}

/** Ties a schedule to the hop table. Fails with every problem found, not just the first. */
export function designOf(model: Model, schedule: Schedule): Outcome<Design> {
  const problems: Problem[] = [];
  const additions: LotAddition[] = [];
  schedule.additions.forEach((addition, i) => {
    const path = `additions[${i}]`;
    problems.push(...additionProblems(schedule, addition, path));
    const lot = sameLot(model, addition);
    if (!lot.ok) {
      problems.push(...lot.problems.map((p) => ({ ...p, path: `${path}.${p.path}` })));
      return;
    }
    additions.push({ lot: lot.value, stage: addition.stage, grams: addition.grams });
  });
  if (problems.length > 0) return failure(...problems);
  const { name, batch, stages } = schedule;
  return success({ name, batch, stages, additions });
}

/** Additions at the batch and stages of a brief as a design; fails as `designOf` does. */
export function designFor(
  model: Model,
  { name, batch, stages }: Pick<Brief, 'name' | 'batch' | 'stages'>,
  additions: readonly Addition[],
): Outcome<Design> {
  return designOf(model, { name, batch, stages, additions: [...additions] });
}
