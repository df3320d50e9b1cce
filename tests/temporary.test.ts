// Tests leave nothing in the folder for temporary files: who makes a folder there also removes it, or puts it
// into the folder of the bundled command line, which the run removes when it ends.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';

const TESTS = fileURLToPath(new URL('./', import.meta.url));
const MAKES = /\bmkdtemp(Sync)?\(/;
const REMOVES = /\brmSync\(|\bmkdtempSync\(join\(dirname\(inject\('cli'\)\)/;

test('whoever makes a temporary folder in a test removes it', () => {
  const makers = readdirSync(TESTS, { recursive: true, encoding: 'utf8' })
    .filter((path) => path.endsWith('.ts'))
    .map((path) => ({ path, text: readFileSync(join(TESTS, path), 'utf8') }))
    .filter(({ text }) => MAKES.test(text));
  expect(makers.length).toBeGreaterThan(5);
  const leaving = makers.filter(({ text }) => !REMOVES.test(text)).map(({ path }) => path);
  expect(leaving).toEqual([]);
});
