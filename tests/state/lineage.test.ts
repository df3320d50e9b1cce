// The line of a beer: over designs that follow batches, in the order of the brew days, and no further.
import { describe, expect, it } from 'vitest';
import type { SavedBatch } from '#shared/schemas/batch.ts';
import { NO_SINGLES, type WorkspaceDocument } from '#shared/schemas/workspace.ts';
import { newBatch, savedDesign, workspaceOf } from '#state/documents/documents.ts';
import { merged } from '#state/documents/arrivals.ts';
import { lineOf } from '#state/documents/lineage.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';

const { brief } = SEED_BRIEFS[0]!;
const designed = savedDesign(brief);
const schedule = { name: 'a beer', batch: brief.batch, stages: brief.stages, additions: [] };
const first = newBatch(designed, schedule, '2026-02-01');
const again = newBatch(designed, schedule, '2026-01-01');
const corrected = savedDesign({ ...brief, name: 'second' }, { follows: first.id });
const second = newBatch(corrected, schedule, '2026-03-01');
const other = savedDesign({ ...brief, name: 'other' });
const stranger = newBatch(other, schedule, '2026-01-15');
const document: WorkspaceDocument = workspaceOf(
  [designed, corrected, other],
  [],
  [second, first, stranger, again],
);
const ids = (line: readonly SavedBatch[]) => line.map(({ id }) => id);

describe('the line of a beer', () => {
  it('goes over designs that follow batches, from each of its batches the same', () => {
    for (const batch of [first, again, second]) {
      expect(ids(lineOf(document, batch))).toEqual(ids([again, first, second]));
    }
    expect(ids(lineOf(document, stranger))).toEqual([stranger.id]);
  });

  it('stays whole when a file of it comes in, under other ids too', () => {
    const mine = workspaceOf(
      [savedDesign({ ...brief, name: 'mine' })],
      [],
      [{ ...stranger, id: first.id }],
    );
    const { document: both } = merged(mine, {
      ...document,
      ...NO_SINGLES,
    });
    const line = lineOf(
      both,
      both.batches.find(({ brewed_on: day }) => day === '2026-03-01')!,
    );
    expect(line.map(({ brewed_on: day }) => day)).toEqual([
      '2026-01-01',
      '2026-02-01',
      '2026-03-01',
    ]);
    expect(line[1]!.id).not.toBe(first.id);
  });
});
