// The blend as rows of grams: one row per lot, one piece per stage, longest row first. While a hand
// moves it, rows keep their places and their scale, so that a bar tells by its length what changes.
import type { FormId } from '#shared/ids.ts';
import { shownStages, type ShownStage, type Stages } from '#shared/stages/stages.ts';
import type { BlendAddition } from '#shared/answers/answer.ts';
import type { Grams } from '#shared/units.ts';

export interface DosePiece {
  readonly stage: ShownStage;
  readonly grams: Grams;
  /** Start and length as fractions of the chart's width. */
  readonly start: number;
  readonly length: number;
}

export interface DoseRow {
  readonly hop: string;
  readonly form: FormId;
  readonly grams: Grams;
  readonly pieces: readonly DosePiece[];
}

/**
 * Rows drawn to one scale, the heaviest lot filling the width. Additions of 0 g do not show.
 * @param stages those of the document the blend is for.
 * @param before the rows of the blend this one follows: lots of both stay in that order, new ones come
 *   after them, and the scale is the larger of both.
 */
export function doseRows(
  additions: readonly BlendAddition[],
  stages: Readonly<Stages>,
  before: readonly DoseRow[] = [],
): DoseRow[] {
  const lots = new Map<string, { hop: string; form: FormId; by: Map<string, number> }>();
  for (const { hop, form, stage, grams } of additions) {
    if (grams <= 0) continue;
    const key = `${hop}|${form}`;
    const lot = lots.get(key) ?? { hop, form, by: new Map<string, number>() };
    lots.set(key, lot);
    lot.by.set(stage, (lot.by.get(stage) ?? 0) + grams);
  }
  const total = (by: Map<string, number>) => [...by.values()].reduce((a, b) => a + b, 0);
  const heaviest = Math.max(
    ...before.map((row) => row.grams),
    ...[...lots.values()].map((lot) => total(lot.by)),
    0,
  );
  const across = (grams: Grams) => grams / heaviest;
  const rows = [...lots.values()].map(({ hop, form, by }) => {
    let sum = 0;
    const pieces = shownStages(stages, by.keys()).map((stage) => {
      const grams = by.get(stage.key)!;
      const piece = { stage, grams, start: across(sum), length: across(grams) };
      sum += grams;
      return piece;
    });
    return { hop, form, grams: sum, pieces };
  });
  const place = ({ hop, form }: DoseRow) => {
    const at = before.findIndex((row) => row.hop === hop && row.form === form);
    return at < 0 ? before.length : at;
  };
  return rows.sort(
    (a, b) => place(a) - place(b) || b.grams - a.grams || a.hop.localeCompare(b.hop),
  );
}

/** The stages that take hops, in the order they happen. */
export function stagesIn(
  additions: readonly BlendAddition[],
  stages: Readonly<Stages>,
): ShownStage[] {
  return shownStages(
    stages,
    additions.flatMap((a) => (a.grams > 0 ? [a.stage] : [])),
  );
}
