// The questions of the stock that need the hop table, the person's own hops in it, in one module that is loaded on
// demand: ages, candidates, and whether a variety is known.
import type { AnalyteId } from '#shared/ids.ts';
import { nameKey } from '#shared/name-key.ts';
import { findHop, knownHops, lotOf, missingForDesign, namesNear } from '#engine/lot/composition.ts';
import { stockCandidates } from '#engine/lot/lot-storage.ts';
import { model, type Model } from '#engine/tables/model.ts';
import { ownModel } from '#engine/tables/own.ts';
import type { ListedLot } from '#shared/lists/lot-list.ts';
import type { Problem } from '#shared/outcome.ts';
import type { Candidate } from '#shared/schemas/lot.ts';
import type { OwnTables } from '#shared/schemas/own-tables.ts';
import type { SavedLot } from '#shared/schemas/workspace.ts';
import { lotAge, type LotAge } from './lot-age.ts';

export { dayOf } from '#shared/lists/lot-dates.ts';

type Described = Pick<ListedLot, 'hop' | 'form' | 'analysis'>;

/** The answers from one model of hops. */
function answersFrom(of: Model) {
  const candidatesToday = (lots: readonly SavedLot[], today: string): Candidate[] =>
    stockCandidates(of, lots, today);
  const ages = new WeakMap<SavedLot, { readonly today: string; readonly age: LotAge | string }>();
  return {
    /** The names of the hop table, for reading lists. */
    hops: knownHops(of),

    /** Of many lots an edit changes one: each is worked out once a day. */
    ageToday(lot: SavedLot, today: string): LotAge | string {
      const known = ages.get(lot);
      if (known?.today === today) return known.age;
      const age = lotAge(of, lot, today);
      ages.set(lot, { today, age });
      return age;
    },

    candidatesToday,

    /**
     * Every hop of the table that may be offered; where the stock has the hop in that form, its lots take the
     * place of the table's.
     */
    tableAndStock(lots: readonly SavedLot[], today: string): Candidate[] {
      const keyOf = ({ hop, form }: Pick<Candidate, 'hop' | 'form'>) => `${nameKey(hop)}|${form}`;
      const listed = new Set(lots.map(keyOf));
      const others = of.hops
        .filter(({ missing }) => missing.length === 0)
        .flatMap(({ name, forms }) => forms.map((form) => ({ hop: name, form })))
        .filter((candidate) => !listed.has(keyOf(candidate)));
      return [...candidatesToday(lots, today), ...others];
    },

    /** What keeps a lot from being predicted: an unknown variety, or an analysis without its oil. */
    problemsOf(lot: Described): readonly Problem[] {
      const outcome = lotOf(of, lot);
      return outcome.ok ? [] : outcome.problems;
    },

    /**
     * Unknown figures of a lot that designs need. A lot with such figures is left out of designs; predictions
     * use what is known.
     */
    missingForDesigns(lot: Described): readonly AnalyteId[] {
      const outcome = lotOf(of, lot);
      return outcome.ok ? missingForDesign(outcome.value) : [];
    },

    /** The varieties that a name not in the table may mean; empty where the table has the name. */
    meantBy: ({ hop }: Pick<ListedLot, 'hop'>): readonly string[] => namesNear(of, hop),

    /** Names that are not in the table, each once. */
    namesNotInTable: (lots: readonly Pick<ListedLot, 'hop'>[]): string[] =>
      [...new Set(lots.map(({ hop }) => hop))].filter((hop) => !findHop(of, hop)),
  };
}

export type StockModel = ReturnType<typeof answersFrom>;

/** Answers from the published tables with a person's own laid over them. */
export function stockModel(own: OwnTables | null | undefined): StockModel {
  return answersFrom(ownModel(model, own).model);
}
