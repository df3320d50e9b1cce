// A document whose content is not checked yet: an object of fields of which nothing is known but the
// names. Readers and schemas that look into one before it is checked share the test for it here.

export type Fields = Readonly<Record<string, unknown>>;

export function isFields(value: unknown): value is Fields {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
