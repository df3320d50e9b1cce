// The evidence behind a blend: how many of its figures were read in a source, derived, recalled or estimated,
// and which are missing. It counts figures and does not judge them.
import { STATUSES, WEAK_STATUSES, type AnalyteId, type Status } from '#shared/ids.ts';
import type { UnknownFigures } from '#shared/answers/prediction.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import { lotOf, type Lot } from '#engine/lot/composition.ts';
import { lotKey } from '#engine/predict/design.ts';
import type { Model } from '#engine/tables/model.ts';

/** Figures of one hop's used lots for which no source was read. */
export interface WeakFigures {
  readonly hop: string;
  readonly figures: readonly { readonly analyte: AnalyteId; readonly status: Status }[];
}

export interface Evidence {
  /** Figures of the used lots, by status. */
  readonly statuses: Readonly<Record<Status, number>>;
  readonly weak: readonly WeakFigures[];
  readonly unknown: readonly UnknownFigures[];
}

function figuresOf(lot: Lot): { analyte: AnalyteId; status: Status }[] {
  return Object.entries(lot.figures).map(([analyte, figure]) => ({
    analyte: analyte as AnalyteId,
    status: figure.status,
  }));
}

/** The evidence behind a blend; each lot counts once, at however many stages it is used. */
export function evidenceOf(model: Model, additions: readonly Addition[]): Evidence {
  const lots = new Map<string, Lot>();
  for (const addition of additions) {
    const lot = addition.grams > 0 ? lotOf(model, addition) : undefined;
    if (lot?.ok) lots.set(lotKey(addition), lot.value);
  }
  const used = [...lots.values()];
  const statuses = Object.fromEntries(STATUSES.map((s) => [s, 0])) as Record<Status, number>;
  for (const lot of used) for (const { status } of figuresOf(lot)) statuses[status] += 1;
  const isWeak = (status: Status) => (WEAK_STATUSES as readonly Status[]).includes(status);
  return {
    statuses,
    weak: perHop(used, (lot) => figuresOf(lot).filter((f) => isWeak(f.status))),
    unknown: perHop(used, (lot) => lot.unknown),
  };
}

/** The listed figures of each hop's lots, each once; hops with none are left out. */
function perHop<T>(
  lots: readonly Lot[],
  listOf: (lot: Lot) => readonly T[],
): { hop: string; figures: readonly T[] }[] {
  const byHop = new Map<string, Map<string, T>>();
  for (const lot of lots) {
    const figures = byHop.get(lot.hop) ?? new Map<string, T>();
    for (const figure of listOf(lot)) figures.set(JSON.stringify(figure), figure);
    if (figures.size > 0) byHop.set(lot.hop, figures);
  }
  return [...byHop].map(([hop, figures]) => ({ hop, figures: [...figures.values()] }));
}
