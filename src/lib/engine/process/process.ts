// The conditions of a design in symbols: its stages in the order they happen, the yeast, the malt. Lines made
// from them are made once and kept while the conditions are in use. Where an edit leaves a stage's own
// conditions as they are, the stage is taken over from the process before, with all lines made from it.
import { isFields } from '#shared/fields.ts';
import type { Batch } from '#shared/schemas/brief.ts';
import { stagesOf, type Stages, type StageUse } from '#shared/stages/stages.ts';
import type { Model, ParameterId } from '#engine/tables/model.ts';
import { Newest } from '#engine/tables/newest.ts';
import { condition, Lines, linesOf, parameter } from '#engine/symbols/rows.ts';
import type { Leaf } from '#engine/symbols/term.ts';
import { stageTerms } from './stage-kinds.ts';
import type { StageTerms } from './stage.ts';

/** What a document says of the brewing process. */
export interface Conditions {
  readonly batch: Batch;
  readonly stages: Stages;
}

/** The figure of the conditions at a path like `stages.dry_hop.hours`. */
export function conditionIn(of: Conditions, path: string): number {
  let at: unknown = of;
  for (const name of path.split('.')) at = isFields(at) ? at[name] : undefined;
  if (typeof at !== 'number') throw new Error(`no figure at ${path}`);
  return at;
}

/** Everything in the conditions except their figures: conditions of the same shape share their equations. */
export function shapeOf({ batch, stages }: Conditions): string {
  const figureless = (_: string, value: unknown) => (typeof value === 'number' ? 0 : value);
  return JSON.stringify([batch, stages], figureless);
}

interface OwnedStage {
  readonly stage: StageTerms;
  readonly owner: Process;
}

export class Process extends Lines {
  readonly batch: Batch;
  readonly stages: readonly StageTerms[];
  private readonly uses: readonly StageUse[];
  /** Litres of finished beer. */
  readonly beer: Leaf;
  /** Lines of what lots contain, which do not depend on the conditions. */
  readonly inLots: Lines;
  private readonly byKey: ReadonlyMap<string, OwnedStage>;

  constructor(model: Model, batch: Batch, stages: Stages) {
    super(model);
    this.batch = batch;
    this.inLots = linesOf(model);
    this.beer = condition('batch.beer_l', batch.beer_l, 'Beer', 'L');
    this.uses = stagesOf(stages);
    const owned = this.uses.map((use) => this.owned(use));
    this.stages = owned.map(({ stage }) => stage);
    this.byKey = new Map(owned.map((of) => [of.stage.use.key, of]));
  }

  /** A stage depends only on the batch, its own conditions, and the steeps that follow it. */
  private owned(use: StageUse): OwnedStage {
    const key = JSON.stringify([this.batch, use, this.kettleSteepsAfter(use.key)]);
    const make = () => ({ stage: stageTerms(this, use), owner: this });
    return ownedStages.of(this.model, key, make);
  }

  /** The steeps in the kettle's own wort that follow a stage in the kettle, in order. */
  kettleSteepsAfter(key: string): StageUse<'hot_steep'>[] {
    const { uses } = this;
    const later = uses.slice(uses.findIndex((use) => use.key === key) + 1);
    return later.filter(
      (use): use is StageUse<'hot_steep'> =>
        use.kind === 'hot_steep' && use.conditions.liquor_l === undefined,
    );
  }

  /** The stage of that key. The caller has checked the design, so the stage exists. */
  stage(key: string): StageTerms {
    return this.ownedStage(key).stage;
  }

  /** The process for which a stage was made first: it keeps the lines that depend on that stage alone. */
  ownerOf(key: string): Process {
    return this.ownedStage(key).owner;
  }

  private ownedStage(key: string): OwnedStage {
    const owned = this.byKey.get(key);
    if (!owned) throw new Error(`no stage ${key} in this process`);
    return owned;
  }

  parameter(id: ParameterId): Leaf {
    return parameter(this.model, id);
  }
}

/** How many conditions, and how many stages, keep their symbols. */
const processes = new Newest<Model, string, Process>(6);
const ownedStages = new Newest<Model, string, OwnedStage>(24);

/** The process of these conditions; the newest few are kept. */
export function processOf(model: Model, batch: Batch, stages: Stages): Process {
  const key = JSON.stringify([batch, stages]);
  return processes.of(model, key, () => new Process(model, batch, stages));
}
