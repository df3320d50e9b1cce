// What the first view may weigh. The limits are this project's own; see DEVELOPERS.md.
import { existsSync, readdirSync } from 'node:fs';
import { expect, test } from 'vitest';
import { BUILD_FOLDER } from '../../src/serve/server.ts';
import {
  firstViewScripts,
  firstViewStyles,
  namedInHtml,
  staticImports,
  type FetchedFile,
} from './first-view.ts';

const SCRIPTS_KB = 105;
/** Of any page: none needs the hop table or the engine before somebody asks. */
const ANY_SCRIPTS_KB = 110;
const STYLES_KB = 12;

const kiloBytesOf = (files: readonly FetchedFile[]) =>
  files.reduce((sum, f) => sum + f.gzipBytes, 0) / 1000;

function weigh(files: readonly FetchedFile[]): number {
  const kB = kiloBytesOf(files);
  const heaviest = files.toSorted((a, b) => b.gzipBytes - a.gzipBytes).slice(0, 3);
  const list = heaviest.map((f) => `${f.path} ${(f.gzipBytes / 1000).toFixed(1)} kB`);
  console.log(`${kB.toFixed(1)} kB gzip in ${files.length} files: ${list.join(', ')} ...`);
  return kB;
}

test('static imports are followed, dynamic ones are not', () => {
  const script = `import{a}from"./a.js";export*from"./b.js";import"./c.js";import("./d.js");a`;
  expect(staticImports(script)).toEqual(['./a.js', './b.js', './c.js']);
});

test('files are found however the HTML names them', () => {
  const html = `<link href="./_app/a.css"><link href="/_app/b.js"><script>import("../../_app/c.js")</script>`;
  expect(namedInHtml(html, 'js')).toEqual(['_app/b.js', '_app/c.js']);
  expect(namedInHtml(html, 'css')).toEqual(['_app/a.css']);
});

test(`scripts of the first view stay within ${SCRIPTS_KB} kB`, () => {
  const files = firstViewScripts(BUILD_FOLDER, 'index.html');
  expect(files.length).toBeGreaterThan(0);
  expect(weigh(files)).toBeLessThanOrEqual(SCRIPTS_KB);
});

test(`scripts of the first view of any page stay within ${ANY_SCRIPTS_KB} kB`, () => {
  const folders = readdirSync(BUILD_FOLDER, { withFileTypes: true })
    .filter((entry) => entry.isDirectory() && existsSync(`${BUILD_FOLDER}${entry.name}/index.html`))
    .map(({ name }) => name);
  expect(folders).toContain('hops');
  const heavy = [...folders, 'hops/citra', 'own/hop'].filter(
    (name) => kiloBytesOf(firstViewScripts(BUILD_FOLDER, `${name}/index.html`)) > ANY_SCRIPTS_KB,
  );
  expect(heavy).toEqual([]);
});

test(`style sheets of the first view stay within ${STYLES_KB} kB`, () => {
  const files = firstViewStyles(BUILD_FOLDER, 'index.html');
  expect(files.length).toBeGreaterThan(0);
  expect(weigh(files)).toBeLessThanOrEqual(STYLES_KB);
});
