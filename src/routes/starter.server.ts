// The workspace of a first visit, made once at build time: the invented brewery's briefs as designs,
// each with its blend, and its stock.
import stockText from '#seeds/stock.csv?raw';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { model } from '#engine/tables/model.ts';
import { reaching } from '#optimize/live/attainable-range.ts';
import { finished } from '#optimize/pacing/clock.ts';
import { design } from '#optimize/questions/design.ts';
import type { DesignAnswer } from '#shared/answers/answer.ts';
import { sentence, type Outcome } from '#shared/outcome.ts';
import type { SavedDesign, SavedLot, WorkspaceDocument } from '#shared/schemas/workspace.ts';
import { stockIn } from '#shared/lists/stock.ts';
import { workspaceOf } from '#state/documents/documents.ts';

/**
 * The day for which the demo is computed. It follows from the harvest of the demo, because the date of the build
 * would change every build.
 */
const SAVED_AT = '2026-01-01T00:00:00.000Z';

function demoLots(): SavedLot[] {
  return had(stockIn(stockText), 'stock.csv').lots.map(({ lot }, i) => ({
    ...lot,
    id: `demo-lot-${i + 1}`,
  }));
}

/** The answer to a question; a question of the demo must have one. */
export function had<T>(outcome: Outcome<T>, of: string): T {
  if (outcome.ok) return outcome.value;
  throw new Error(outcome.problems.map((p) => sentence(of, p)).join('\n'));
}

const answers = SEED_BRIEFS.map(({ id, brief }) => had(design(model, brief), `${id}.json`));

const designs = SEED_BRIEFS.map(({ id, brief }, i): SavedDesign => {
  const additions = answers[i]!.blends[0]?.additions ?? [];
  const blend = additions.filter(({ grams }) => grams > 0);
  return { id: `demo-${id}`, brief, blend, saved_at: SAVED_AT, note: '' };
});

export const starter: WorkspaceDocument = workspaceOf(
  designs as [SavedDesign, ...SavedDesign[]],
  demoLots(),
);

/** The answer to the design that is open first, and how far its axes can go. */
export const firstAnswer: DesignAnswer = answers[0]!;
export const firstReach = had(finished(reaching(model, designs[0]!.brief)), 'the first brief');
