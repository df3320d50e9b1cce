// Joins every kind of stage to the module that computes it.
import type { StageUse } from '#shared/stages/stages.ts';
import type { Process } from './process.ts';
import type { StageTerms } from './stage.ts';
import { boilTerms } from './stages/boil.ts';
import { dryHopTerms } from './stages/dry-hop.ts';
import { hotSteepTerms } from './stages/hot-steep.ts';
import { mashTerms } from './stages/mash.ts';

/** The stage in symbols. A kind without its case is a type error. */
export function stageTerms(process: Process, use: StageUse): StageTerms {
  switch (use.kind) {
    case 'mash':
      return mashTerms(process, use);
    case 'boil':
      return boilTerms(process, use);
    case 'hot_steep':
      return hotSteepTerms(process, use);
    case 'dry_hop':
      return dryHopTerms(process, use);
  }
}
