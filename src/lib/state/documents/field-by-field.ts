// Merges two versions of one record: each field as the side that changed it left it, likewise the fields of
// inner objects that people fill in step by step; of grams, both changes are added up.

/** Objects whose fields are merged one by one. */
export const OPENED: ReadonlySet<string> = new Set([
  'brief',
  'planned',
  'brewed',
  'measured',
  'analysis',
]);
/** The field whose changes add up: both withdrawals happened. */
const GRAMS = 'grams_on_hand';

type Record = Readonly<{ [field: string]: unknown }>;

const isRecord = (value: unknown): value is Record =>
  typeof value === 'object' && value !== null && !Array.isArray(value);
const same = (a: unknown, b: unknown) => a === b || JSON.stringify(a) === JSON.stringify(b);
const tidy = (grams: number) => Math.max(0, Math.round(grams * 1000) / 1000);

function met(field: string, before: unknown, mine: unknown, theirs: unknown): unknown {
  if (OPENED.has(field) && [before, mine, theirs].every(isRecord)) {
    return fieldByField(before as Record, mine as Record, theirs as Record);
  }
  const grams = [before, mine, theirs];
  if (field === GRAMS && grams.every((value) => typeof value === 'number')) {
    const [was, here, there] = grams as [number, number, number];
    return tidy(here + there - was);
  }
  return mine;
}

/** @param base the version from which both started. */
export function fieldByField(base: object | null, mine: object, theirs: object): object {
  const [before, here, there] = [base ?? {}, mine, theirs] as [Record, Record, Record];
  const own = Object.entries(here)
    .filter(([field, value]) => !same(before[field], value))
    .map(([field, value]) => [field, met(field, before[field], value, there[field])]);
  const kept = Object.entries(there).filter(([field]) => field in here || !(field in before));
  return Object.fromEntries([...kept, ...own]) as object;
}
