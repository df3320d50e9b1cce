// The types treat a field that is undefined like one that is absent; a written document does not. So undefined fields
// are removed here.

/** An object without its undefined fields. */
export function given<T extends object>(object: T): T {
  const fields: [string, unknown][] = Object.entries(object);
  return Object.fromEntries(fields.filter(([, value]) => value !== undefined)) as T;
}
