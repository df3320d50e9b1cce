// The comparison of designs: which can be chosen, what is asked about them, and the result as one column for
// each. The search's worker predicts each from its kept additions.
import type { Schedule, Target } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import type { WorkspaceDocument } from '#shared/schemas/workspace.ts';
import type { BesideFirst, Titled } from '#optimize/questions/side-by-side.ts';
import { scheduleOf, titleOf } from '#state/documents/documents.ts';
import { ownPrices, pricedBy, pricesOf } from '#state/stock/stock-prices.ts';

/** The id that stands for the usual schedule. */
export const USUAL_ID = 'usual';
export const COMPARED_AT_MOST = 4;

/** A design with a blend, or the usual schedule. */
export interface ComparisonChoice {
  readonly id: string;
  readonly title: string;
  /** `null` where a design has not been answered yet. */
  readonly schedule: Schedule | null;
  readonly target: Target;
}

export interface ComparisonColumn extends BesideFirst {
  readonly id: string;
  readonly title: string;
  readonly schedule: Schedule;
  readonly additions: readonly Addition[];
  readonly target: Target;
}

/**
 * The choices of a workspace. An addition without a price costs what the stock's lots of the same hop and form
 * cost.
 */
export function choicesOf({
  designs,
  usual,
  lots,
  own_tables,
}: WorkspaceDocument): ComparisonChoice[] {
  const prices = pricesOf([...lots, ...ownPrices(own_tables ?? null)]);
  const priced = (schedule: Schedule) => ({
    ...schedule,
    additions: pricedBy(schedule.additions, prices),
  });
  return [
    ...designs.map((design): ComparisonChoice => {
      const { id, brief } = design;
      const schedule = scheduleOf(design);
      return {
        id,
        title: titleOf(design),
        schedule: schedule && priced(schedule),
        target: brief.target,
      };
    }),
    ...(usual
      ? [
          {
            id: USUAL_ID,
            title: usual.name || 'Usual schedule',
            schedule: priced(usual),
            target: {},
          },
        ]
      : []),
  ];
}

/** The designs compared until somebody chooses: the open one and one more, of those with a blend. */
export function firstChosen(
  choices: readonly ComparisonChoice[],
  open: string,
): ComparisonChoice[] {
  const ready = choices.filter(({ schedule }) => schedule !== null);
  const isOpen = ({ id }: ComparisonChoice) => id === open;
  return [...ready.filter(isOpen), ...ready.filter((choice) => !isOpen(choice))].slice(0, 2);
}

/** The chosen ones that have a blend, as they are asked for. */
export function askedOf(choices: readonly ComparisonChoice[]): Titled[] {
  return choices.flatMap(({ title, schedule }) => (schedule ? [{ title, schedule }] : []));
}

/** @param found the result for the same choices. */
export function columnsOf(
  choices: readonly ComparisonChoice[],
  found: readonly BesideFirst[],
): ComparisonColumn[] {
  const ready = choices.flatMap(({ id, title, schedule, target }) =>
    schedule ? [{ id, title, schedule, target }] : [],
  );
  return ready.map((choice, i) => {
    const additions = choice.schedule.additions.filter(({ grams }) => grams > 0);
    return { ...choice, additions, ...found[i]! };
  });
}
