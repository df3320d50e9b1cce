// What the columns of own tables and the words in their cells are called by people. In files they stand by the
// names of data/README.md; a refusal of a file names those, one of the form these.
import { AXES, FORMS, STATUSES } from '#shared/ids.ts';
import { analyteName } from '#wording/words.ts';
import { AXIS_NAMES, FORM_NAMES, STATUS_NAMES } from '#shared/words.ts';

const COLUMNS: Readonly<Record<string, string>> = {
  'sources.id': 'Short name, to cite it by',
  'sources.tier': 'Rank, A best',
  'sources.where': 'Published where',
  'sources.locator': 'DOI or page',
  'sources.read': 'How far it was read',
  'varieties.id': 'Short name',
  'varieties.precursor': 'Bound thiols',
  'varieties.precursor_status': 'Bound thiols: known how',
  'varieties.precursor_sources': 'Bound thiols: sources',
  'varieties.precursor_note': 'Bound thiols: note',
  'varieties.forms_status': 'Forms: known how',
  'varieties.forms_sources': 'Forms: sources',
  'varieties.origin_status': 'Origin: known how',
  'varieties.origin_sources': 'Origin: sources',
  'measurements.variety': 'Hop',
  'measurements.analyte': 'Figure',
  'measurements.min': 'or from',
  'measurements.max': 'to',
  'measurements.source_id': 'Source, by its short name',
  'measurements.basis': 'As is, or of dry matter',
  'measurements.exclude': 'Leave it out, because',
  'parameters.id': 'Parameter',
  'parameters.default': 'Middle',
  'compounds.id': 'Compound',
  'compounds.threshold_low': 'Lowest threshold, µg/L',
  'compounds.threshold': 'Middle threshold, µg/L',
  'compounds.threshold_high': 'Highest threshold, µg/L',
  'compounds.threshold_matrix': 'Smelled in',
  'compounds.threshold_status': 'Known how',
  'compounds.threshold_sources': 'Sources',
  'compounds.threshold_note': 'Note',
  'descriptors.driver': 'Compound',
  'descriptors.descriptor': 'Smells of',
  'descriptors.rank': 'Rank, 1 for the note named first',
  'descriptors.stand_in': 'Stand-in for what is not known',
};
const ANYWHERE: Readonly<Record<string, string>> = {
  low: 'Lowest',
  high: 'Highest',
  sources: 'Sources, joined by +',
  status: 'Known how',
  price_per_kg: 'Price per kg',
};
const CELLS: Readonly<Record<string, string>> = {
  ...Object.fromEntries(FORMS.map((form) => [form, FORM_NAMES[form]])),
  ...Object.fromEntries(AXES.map((axis) => [axis, AXIS_NAMES[axis]])),
  ...Object.fromEntries(STATUSES.map((status) => [status, STATUS_NAMES[status]])),
  'n.s.': 'not said',
  'as-is': 'as is',
  'pellet/cone n.s.': 'pellet or cone, not said',
};

const heading = (words: string) => words.charAt(0).toUpperCase() + words.slice(1);

/** The name of a column. */
export function columnWords(table: string, column: string): string {
  return COLUMNS[`${table}.${column}`] ?? ANYWHERE[column] ?? heading(column.replaceAll('_', ' '));
}

/** A word that a closed column may hold. */
export function cellWords(word: string): string {
  return CELLS[word] ?? analyteName(word);
}
