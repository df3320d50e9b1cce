// How firm the process figures behind an amount in the beer are. A yield or rate counts where its doubt
// alone would be noticed: where the amount at its 10 or its 90 % point differs from the one at the
// default by more than anyone can tell apart. A row that is an assumption counts as an estimate.
import { COMPOUNDS, type Status } from '#shared/ids.ts';
import type { Parameter } from '#shared/schemas/tables.ts';
import type { Design } from '#engine/design.ts';
import { effectOf, maltEffect } from '#engine/effect.ts';
import { chainOf, parametersOf } from '#engine/equations.ts';
import { weakest } from '#engine/ground.ts';
import {
  parameterStatus,
  type Model,
  type ParameterId,
  type ParameterValues,
} from '#engine/model.ts';
import { dryHopLoad, type World } from '#engine/predict.ts';
import { processOf } from '#engine/process.ts';
import { parameterAt } from '#engine/sampling.ts';
import { loadFactor } from '#engine/transfer.ts';

/** Parameters between a hop and the beer. Bound 3SH by class is a figure of the lot, not of the process. */
const ON_THE_WAY = [...new Set(chainOf('concentration').flatMap(parametersOf))].filter(
  (id) => !id.startsWith('precursor.g_sh3.') && id !== 'precursor.cys_share',
);

/** ug/L of each compound from each addition, and last from the malt, one row after another. */
function amounts(model: Model, design: Design, world: World, values: ParameterValues) {
  const process = processOf(model, design.batch, design.stages, values);
  const load = dryHopLoad(design);
  const found = new Float64Array((design.additions.length + 1) * COMPOUNDS.length);
  design.additions.forEach(({ lot, stage, grams }, a) => {
    if (grams === 0) return;
    const { compounds } = effectOf(world.lots.get(lot)!, stage, process);
    COMPOUNDS.forEach((c, i) => {
      const { loadGroup } = model.compounds[c];
      const left = stage === 'dry_hop' ? loadFactor(loadGroup, load, values) : 1;
      found[a * COMPOUNDS.length + i] = compounds[i]! * left;
    });
  });
  found.set(maltEffect(process), design.additions.length * COMPOUNDS.length);
  return found;
}

/**
 * The weakest status among the process figures an amount rests on, by compound index.
 * @param addition index in the design; one past the last is the malt.
 */
export type ProcessGround = (addition: number, compound: number) => Status;

export function processGround(model: Model, design: Design, world: World): ProcessGround {
  const noticed = world.values['aroma.jnd'];
  const usual = amounts(model, design, world, world.values);
  const found: Status[] = Array(usual.length).fill('analysis');
  const rows = ON_THE_WAY.map((id): [ParameterId, Parameter] => [id, model.parameters[id]]);
  for (const [id, row] of rows) {
    if (row.fixed) continue;
    const status = parameterStatus(row);
    for (const share of [0.1, 0.9]) {
      const values = { ...world.values, [id]: parameterAt(row, share) };
      amounts(model, design, world, values).forEach((amount, i) => {
        const [low, high] = amount < usual[i]! ? [amount, usual[i]!] : [usual[i]!, amount];
        if (high > low * (1 + noticed)) found[i] = weakest(found[i]!, status);
      });
    }
  }
  return (addition, compound) => found[addition * COMPOUNDS.length + compound]!;
}
