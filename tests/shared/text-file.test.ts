// A file larger than is read is refused by its size, before a byte of it is decoded.
import { expect, it } from 'vitest';
import { textOfFile } from '#shared/reading/text-file.ts';

it('refuses what is too large without looking into it, with a cure', () => {
  const bytes = new Uint8Array(new TextEncoder().encode('hop,alpha\nCitra,12'));
  expect(textOfFile(bytes, 'a table', bytes.length).ok).toBe(true);
  const untouched = new Proxy(bytes, {
    get: (target, name) => {
      if (name !== 'length') throw new Error('it was read');
      return target.length;
    },
  });
  const refused = textOfFile(untouched, 'a table', 10);
  expect(refused).toMatchObject({
    ok: false,
    problems: [{ cure: 'Choose a table, in smaller files where it is long' }],
  });
});
