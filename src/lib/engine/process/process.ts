// The conditions of a design in symbols: its stages in the order they happen, the yeast, the malt. What
// is worked out of them stands once and is kept as long as the conditions are in use.
import type { Batch } from '#shared/schemas/brief.ts';
import type { Stages } from '#shared/stages/stages.ts';
import { stagesOf, type StageUse } from '#shared/stages/stages.ts';
import type { Model, ParameterId } from '#engine/tables/model.ts';
import { given, Lines, linesOf, parameter } from '#engine/symbols/rows.ts';
import type { Leaf } from '#engine/symbols/term.ts';
import { stageTerms } from './stage-kinds.ts';
import type { StageTerms } from './stage.ts';

export class Process extends Lines {
  readonly batch: Batch;
  readonly stages: readonly StageTerms[];
  /** Litres of finished beer. */
  readonly beer: Leaf;
  /** What is in lots, whatever the conditions. */
  readonly inLots: Lines;
  private readonly byKey: ReadonlyMap<string, StageTerms>;

  constructor(model: Model, batch: Batch, stages: Stages) {
    super(model);
    this.batch = batch;
    this.inLots = linesOf(model);
    this.beer = given('batch.beer_l', batch.beer_l, 'Beer', 'L');
    this.stages = stagesOf(stages).map((use) => stageTerms(this, use));
    this.byKey = new Map(this.stages.map((stage) => [stage.use.key, stage]));
  }

  /** The steeps in the kettle's own wort that come after a stage in the kettle, in order. */
  kettleSteepsAfter(key: string): StageUse<'hot_steep'>[] {
    const uses = this.stages.map(({ use }) => use);
    const later = uses.slice(uses.findIndex((use) => use.key === key) + 1);
    return later.filter(
      (use): use is StageUse<'hot_steep'> =>
        use.kind === 'hot_steep' && use.conditions.liquor_l === undefined,
    );
  }

  /** The stage of that key; a design is checked before it comes here, so it is there. */
  stage(key: string): StageTerms {
    const stage = this.byKey.get(key);
    if (!stage) throw new Error(`no stage ${key} in this process`);
    return stage;
  }

  parameter(id: ParameterId): Leaf {
    return parameter(this.model, id);
  }
}

/** Conditions of which the symbols are kept, newest last. */
const KEPT = 6;
const processes = new WeakMap<Model, Map<string, Process>>();

/** The process of these conditions; the newest few are kept. */
export function processOf(model: Model, batch: Batch, stages: Stages): Process {
  const known = processes.get(model) ?? new Map<string, Process>();
  processes.set(model, known);
  const key = JSON.stringify([batch, stages]);
  const process = known.get(key) ?? new Process(model, batch, stages);
  known.delete(key);
  known.set(key, process);
  for (const oldest of [...known.keys()].slice(0, -KEPT)) known.delete(oldest);
  return process;
}
