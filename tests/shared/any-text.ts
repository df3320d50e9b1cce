// Texts of any characters at all. The same drawn by fast-check's own `binary` unit, which lists all of Unicode
// first: more than a second in each process.
import fc from 'fast-check';

/** Any character but half of a surrogate pair. */
const character = fc
  .oneof(fc.integer({ min: 0, max: 0xd7ff }), fc.integer({ min: 0xe000, max: 0x10ffff }))
  .map((code) => String.fromCodePoint(code));

/** A text of at most so many characters. */
export const anyText = (maxLength: number): fc.Arbitrary<string> =>
  fc.string({ unit: character, maxLength });
