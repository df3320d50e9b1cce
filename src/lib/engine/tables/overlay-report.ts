// Collects what is reported while own tables are laid over a model: each fault with table, row, column and
// cure, and the ids of the rows that were accepted.
import { either, nearestNames } from '#shared/names.ts';
import { Problems } from '#shared/reading/problems.ts';
import type { OwnTable } from '#shared/schemas/own-tables.ts';
import { ownPlace } from '#shared/tables/own-tables.ts';

/** Longest message and cure, characters: they may quote a cell, which can be longer. */
const MESSAGE_MAX = 400;

export class OverlayReport {
  readonly problems = new Problems();
  /** Ids of the accepted rows, as leaves carry them. */
  readonly ids = new Set<string>();
  private readonly seen = new Set<string>();

  /** @param sources ids of the sources a row may cite. */
  constructor(private readonly sources: ReadonlySet<string>) {}

  add(table: OwnTable, row: number, column: string, message: string, cure: string): false {
    const said = message.length > MESSAGE_MAX ? `${message.slice(0, MESSAGE_MAX)}...` : message;
    this.problems.add(() => ({
      path: ownPlace(table, row, column),
      message: said,
      cure: cure.slice(0, MESSAGE_MAX),
    }));
    return false;
  }

  /** Reports a hop name that is in no table. */
  addUnknownHop(
    table: OwnTable,
    row: number,
    column: string,
    name: string,
    hops: readonly { readonly name: string }[],
  ): void {
    const near = nearestNames(
      name,
      hops.map((hop) => hop.name),
    );
    const meant = near.length > 0 ? `Write ${either(near)} if that is meant, or add it` : 'Add it';
    const message = `no variety is called ${name}`;
    this.add(table, row, column, message, `${meant} to your table of varieties`);
  }

  /**
   * Whether every source that a row cites is listed, among the published ones or its own; reports those that
   * are not.
   */
  cites(table: OwnTable, row: number, column: string, ids: readonly string[]): boolean {
    const strange = ids.find((id) => !this.sources.has(id));
    if (strange === undefined) return true;
    const cure = `Add ${strange} to your table of sources, or write a source of the page Evidence`;
    return this.add(table, row, column, `the source ${strange} is not listed`, cure);
  }

  rising(table: OwnTable, row: number, column: string, figures: readonly number[]): boolean {
    if (figures.every((figure, i) => figure >= (figures[i - 1] ?? -Infinity))) return true;
    const message = `${figures.join(', ')} do not rise`;
    return this.add(table, row, column, message, 'Write low, middle and high in this order');
  }

  /** Whether an earlier row has the same key; reports it. */
  isTwice(table: OwnTable, row: number, column: string, key: string): boolean {
    const twice = this.seen.has(key);
    const message = `${key} stands here a second time`;
    if (twice) this.add(table, row, column, message, 'Keep one of the two');
    this.seen.add(key);
    return twice;
  }
}
