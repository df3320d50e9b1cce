// Which designs are planned and for which day: kept in the address, so that a reload comes back to it and a
// bookmark holds a season. What it asks of the search is made here too.
import type { Brief } from '#shared/schemas/brief.ts';
import type { Season, SeasonMinimise } from '#shared/schemas/season.ts';
import { SEASON_MINIMISE } from '#shared/schemas/season.ts';
import type { WorkspaceDocument } from '#shared/schemas/workspace.ts';
import { candidatesToday, tableAndStock } from '#state/stock/stock-model.ts';

export interface Chosen {
  readonly minimise: SeasonMinimise;
  /** Whether any hop of the table can be bought, by the gram. */
  readonly buysAny: boolean;
  /** Brew day by id of a design, like 2026-03-31. */
  readonly days: ReadonlyMap<string, string>;
}

const DAY = /^\d{4}-\d{2}-\d{2}$/;

/** What an address says; ids that are no design any more stay until something else is chosen. */
export function chosenIn(hash: string): Chosen {
  const said = new URLSearchParams(hash.replace(/^#/, ''));
  const days = [...said].filter(([key, day]) => key.startsWith('on.') && DAY.test(day));
  return {
    minimise: SEASON_MINIMISE.find((one) => one === said.get('least')) ?? 'weight',
    buysAny: said.get('buy') === 'any',
    days: new Map(days.map(([key, day]) => [key.slice('on.'.length), day])),
  };
}

export function hashOf({ minimise, buysAny, days }: Chosen): string {
  const said = new URLSearchParams();
  for (const [id, day] of days) said.set(`on.${id}`, day);
  if (minimise !== 'weight') said.set('least', minimise);
  if (buysAny) said.set('buy', 'any');
  return `#${said.toString()}`;
}

/** The season of the chosen designs, in the order of their days; `null` where none is chosen or there are no lots. */
export function seasonOf(
  { designs, lots }: Pick<WorkspaceDocument, 'designs' | 'lots'>,
  { minimise, buysAny, days }: Chosen,
  today: string,
): { readonly season: Season; readonly ids: readonly string[] } | null {
  const planned = designs
    .flatMap(({ id, brief }): { id: string; brief: Brief; brew_on: string }[] => {
      const day = days.get(id);
      return day === undefined ? [] : [{ id, brief, brew_on: day < today ? today : day }];
    })
    .sort((a, b) => a.brew_on.localeCompare(b.brew_on));
  const there = lots.filter(({ out_of_stock: gone }) => !gone);
  const candidates = buysAny ? tableAndStock(there, today) : candidatesToday(there, today);
  if (planned.length === 0 || candidates.length === 0) return null;
  const batches = planned.map(({ brief, brew_on }) => ({ brew_on, brief }));
  return {
    season: { name: '', as_of: today, minimise, candidates, batches },
    ids: planned.map(({ id }) => id),
  };
}
