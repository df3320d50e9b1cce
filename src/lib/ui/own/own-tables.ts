// What each table of one's own is called and good for, and how one is put in place of another as a named step.
import type { OwnTable, OwnTables } from '#shared/schemas/own-tables.ts';
import { withOwnTables } from '#state/documents/documents.ts';
import type { Workspace } from '#state/workspace/workspace.svelte.ts';

/** In the order of work: first where the figures are from, then hops, then the rest. */
export const OWN_TABLE_WORDS: Readonly<Record<OwnTable, { name: string; good: string }>> = {
  sources: {
    name: 'Sources',
    good: 'Where your figures are from: a lab sheet, a paper, a supplier.',
  },
  varieties: { name: 'Hops', good: 'A hop the table does not have.' },
  measurements: {
    name: 'Figures of hops',
    good: 'What your hops contain, or a better figure for a published hop.',
  },
  parameters: { name: 'Process parameters', good: 'What differs in your brewhouse.' },
  compounds: {
    name: 'Odour thresholds',
    good: 'The concentration from which your panel smells a compound.',
  },
  descriptors: { name: 'Notes of compounds', good: 'What a compound smells of, and how strongly.' },
  prices: { name: 'Prices', good: 'What a kilogram costs, where nothing else says so.' },
};

/** Puts own tables in place of those before; returns why not. */
export function keepOwn(workspace: Workspace, name: string, own: OwnTables): string | null {
  return workspace.edit(name, (document) => withOwnTables(document, own));
}
