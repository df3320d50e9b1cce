// Which kind of document a text is, by the fields at its top: one of ours, or a recipe of an open standard.
import { isFields } from '#shared/fields.ts';
import { readJson } from './json.ts';

export type DocumentKind =
  | 'brief'
  | 'schedule'
  | 'swap'
  | 'save'
  | 'workspace'
  | 'beerjson'
  | 'beerxml';

export const DOCUMENT_NAMES: Readonly<Record<DocumentKind, string>> = {
  brief: 'a brief to design from',
  schedule: 'a hop schedule',
  swap: 'a schedule with a hop to replace',
  save: 'a schedule to save on',
  workspace: 'a workspace',
  beerjson: 'a BeerJSON recipe',
  beerxml: 'a BeerXML recipe',
};

/** The kind of document a text is; a schedule where nothing shows another. */
export function documentKind(text: string): DocumentKind {
  if (text.trimStart().startsWith('<')) return 'beerxml';
  const { value } = readJson(text);
  if (!isFields(value)) return 'schedule';
  const has = (field: string) => Object.hasOwn(value, field);
  if (has('beerjson')) return 'beerjson';
  if (has('designs')) return 'workspace';
  if (has('replace')) return 'swap';
  if (has('just_noticeable') || (has('additions') && has('limits'))) return 'save';
  return has('target') ? 'brief' : 'schedule';
}
