// Fields that are there but undefined, and fields that are not there: the types take both for the same, a
// document does not.

/** An object without its undefined fields. */
export function given<T extends object>(object: T): T {
  const fields: [string, unknown][] = Object.entries(object);
  return Object.fromEntries(fields.filter(([, value]) => value !== undefined)) as T;
}
