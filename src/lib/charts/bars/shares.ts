// What each addition brings to an axis, as pieces of one bar: stages in the order they happen, the
// malt last, and within a stage the largest first. The pieces of an axis fill its bar exactly.
import type { AxisId } from '#shared/ids.ts';
import { shownStages, type ShownStage, type Stages } from '#shared/stages/stages.ts';
import type { Contribution } from '#shared/answers/answer.ts';

export interface SharePiece {
  /** The hop, or `null` for the malt. */
  readonly hop: string | null;
  readonly stage: ShownStage | null;
  readonly share: number;
  /** Fraction of the bar before it. */
  readonly start: number;
}

/** Pieces too small to be named, fraction of a bar. */
const NAMED_FROM = 0.05;

/** The pieces of one axis; none where the axis has no signal. Forms of one hop at one stage are one. */
export function sharesOf(
  contributions: readonly Contribution[],
  stages: Readonly<Stages>,
  axis: AxisId,
): SharePiece[] {
  const places = shownStages(
    stages,
    contributions.flatMap(({ addition }) => (addition ? [addition.stage] : [])),
  );
  const merged = new Map<string, Omit<SharePiece, 'start'>>();
  for (const { addition, axes } of contributions) {
    const { share } = axes[axis];
    if (!share) continue;
    const hop = addition?.hop ?? null;
    const stage = places.find(({ key }) => key === addition?.stage) ?? null;
    const key = `${stage?.key}|${hop}`;
    merged.set(key, { hop, stage, share: (merged.get(key)?.share ?? 0) + share });
  }
  const order = (stage: ShownStage | null) => (stage ? places.indexOf(stage) : places.length);
  const sorted = [...merged.values()].sort(
    (a, b) => order(a.stage) - order(b.stage) || b.share - a.share,
  );
  let start = 0;
  return sorted.map((piece) => {
    const placed = { ...piece, start };
    start += piece.share;
    return placed;
  });
}

/** The pieces worth naming, and the share of all others together. */
export function namedShares(pieces: readonly SharePiece[]): {
  named: readonly SharePiece[];
  rest: number;
} {
  const named = pieces.filter((p) => p.share >= NAMED_FROM);
  return { named, rest: pieces.reduce((sum, p) => sum + (named.includes(p) ? 0 : p.share), 0) };
}
