// The answers of the seed briefs as they are kept for comparison: blend, status and prediction, each
// figure rounded to four digits so that only a real change shows.
import { readFileSync, writeFileSync } from 'node:fs';
import { SEED_BRIEFS, type SeedBrief } from '#seeds/index.ts';
import { model } from '#engine/tables/model.ts';
import { design } from '#optimize/questions/design.ts';

const DIGITS = 4;

/** The same value with every number rounded, and nothing that is `undefined`. */
export function rounded(value: unknown): unknown {
  return JSON.parse(
    JSON.stringify(value, (_, part) =>
      typeof part === 'number' ? Number(part.toPrecision(DIGITS)) : part,
    ),
  );
}

/** What is kept of an answer. */
export function answerOf({ id, brief }: SeedBrief): unknown {
  const outcome = design(model, brief);
  if (!outcome.ok) throw new Error(`${id}: ${JSON.stringify(outcome.problems)}`);
  const { status, blends } = outcome.value;
  // The shelf follows from the compounds and is held by its own tests.
  const { shelf: _, ...blend } = blends[0]!;
  return rounded({ status, blend });
}

function fileOf(id: string): URL {
  return new URL(`./${id}.json`, import.meta.url);
}

export function keptAnswer(id: string): unknown {
  return JSON.parse(readFileSync(fileOf(id), 'utf8'));
}

/** Writes the answers of today over the kept ones. */
export function refresh(): void {
  for (const seed of SEED_BRIEFS) {
    writeFileSync(fileOf(seed.id), `${JSON.stringify(answerOf(seed), null, 2)}\n`);
  }
}
