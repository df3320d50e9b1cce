// Every page links the styles of all that its HTML holds: a style sheet that came with a script would lay the page
// out again. How the scripts are cut up decides in which sheet a style is (vite.config.ts).
import { readdirSync, readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { BUILD_FOLDER } from '../../src/serve/server.ts';
import { namedInHtml } from './first-view.ts';

/** Classes that a component gives what its own styles are meant for. */
const scopesIn = (html: string) =>
  new Set(
    [...html.matchAll(/class="([^"]*)"/g)]
      .flatMap(([, classes = '']) => classes.split(/\s+/))
      .filter((name) => name.startsWith('svelte-')),
  );

test('the styles of all parts of a page are linked in its HTML', () => {
  const pages = readdirSync(BUILD_FOLDER, { recursive: true, encoding: 'utf8' }).filter((path) =>
    path.endsWith('index.html'),
  );
  expect(pages.length).toBeGreaterThan(100);
  const sheets = new Map<string, string>();
  const sheet = (path: string) => {
    const text = sheets.get(path) ?? readFileSync(`${BUILD_FOLDER}${path}`, 'utf8');
    sheets.set(path, text);
    return text;
  };
  const unstyled = pages.flatMap((page) => {
    const html = readFileSync(`${BUILD_FOLDER}${page}`, 'utf8');
    const styles = namedInHtml(html, 'css').map(sheet).join('\n');
    return [...scopesIn(html)]
      .filter((scope) => !styles.includes(`.${scope}`))
      .map((scope) => `${page}: ${scope}`);
  });
  expect(unstyled).toEqual([]);
});
