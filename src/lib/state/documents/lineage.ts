// The line of a beer: a batch, the design it came from, the batch which that design corrects, and all later
// ones, the oldest first. The line ends where a design or a batch no longer exists.
import type { SavedBatch } from '#shared/schemas/batch.ts';
import type { WorkspaceDocument } from '#shared/schemas/workspace.ts';

/** Batches of one line with this one, in the order they were brewed. */
export function lineOf(
  { batches, designs }: Pick<WorkspaceDocument, 'batches' | 'designs'>,
  batch: SavedBatch,
): SavedBatch[] {
  const followed = new Map(designs.map(({ id, follows }) => [id, follows]));
  const line = new Set<SavedBatch>([batch]);
  const isKin = (a: SavedBatch, b: SavedBatch) =>
    a.design !== undefined && (a.design === b.design || followed.get(a.design) === b.id);
  for (let before = 0; before < line.size;) {
    before = line.size;
    for (const one of batches) {
      if ([...line].some((kin) => isKin(one, kin) || isKin(kin, one))) line.add(one);
    }
  }
  const dayOf = ({ brewed_on: day }: SavedBatch) => day ?? '';
  return batches
    .filter((one) => line.has(one) || one.id === batch.id)
    .sort((a, b) => (dayOf(a) < dayOf(b) ? -1 : dayOf(a) > dayOf(b) ? 1 : 0));
}
