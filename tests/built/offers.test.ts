// What the built site says of itself to browsers and search engines: each page a title and a description of
// its own, a manifest whose files are there, and a worker that is never taken from a cache unasked.
import { createHash } from 'node:crypto';
import { existsSync, readFileSync, statSync } from 'node:fs';
import { expect, test } from 'vitest';
import { PLACES } from '#ui/shell/places.ts';
import { BUILD_FOLDER } from '../../src/serve/server.ts';

const PAGES = [
  ...PLACES.map(({ path }) => path),
  '/own/',
  '/own/hop/',
  '/hops/citra/',
  '/hops/saaz/',
];
const htmlOf = (path: string) => readFileSync(`${BUILD_FOLDER}${path}index.html`, 'utf8');
const found = (html: string, pattern: RegExp) => pattern.exec(html)?.[1] ?? '';

test('each page has a title and a description of its own', () => {
  const heads = PAGES.map((path) => {
    const html = htmlOf(path);
    expect(html).toContain('<html lang="en"');
    expect(html).toContain('name="viewport"');
    return {
      title: found(html, /<title>([^<]+)<\/title>/),
      description: found(html, /name="description"\s+content="([^"]+)"/),
    };
  });
  for (const { title, description } of heads) {
    expect(title).toMatch(/Blendbine/);
    expect(description.length, description).toBeGreaterThan(50);
    expect(description.length, description).toBeLessThanOrEqual(160);
  }
  expect(new Set(heads.map(({ title }) => title)).size).toBe(PAGES.length);
  expect(new Set(heads.map(({ description }) => description)).size).toBe(PAGES.length);
});

interface Manifest {
  readonly icons: readonly { src: string; sizes: string; purpose?: string }[];
  readonly shortcuts: readonly { url: string }[];
  readonly start_url: string;
  readonly display: string;
}

/** Width and height of a PNG, from its head. */
function sizeOf(png: Buffer): string {
  return `${png.readUInt32BE(16)}x${png.readUInt32BE(20)}`;
}

test('the program can be installed: its manifest, from every page, with icons that are there', () => {
  for (const path of PAGES) {
    const href = found(htmlOf(path), /rel="manifest" href="([^"]+)"/);
    expect(new URL(href, `https://example.com/sub${path}`).pathname).toBe(
      '/sub/manifest.webmanifest',
    );
  }
  const text = readFileSync(`${BUILD_FOLDER}manifest.webmanifest`, 'utf8');
  const manifest = JSON.parse(text) as Manifest;
  expect(manifest).toMatchObject({ start_url: './', scope: './', display: 'standalone' });
  for (const { src, sizes } of manifest.icons) {
    expect(existsSync(BUILD_FOLDER + src), src).toBe(true);
    if (src.endsWith('.png')) expect(sizeOf(readFileSync(BUILD_FOLDER + src))).toBe(sizes);
  }
  const sizes = manifest.icons.map((icon) => icon.sizes);
  expect(sizes).toEqual(expect.arrayContaining(['192x192', '512x512']));
  expect(manifest.icons.some((icon) => icon.purpose === 'maskable')).toBe(true);
  for (const { url } of manifest.shortcuts)
    expect(existsSync(`${BUILD_FOLDER}${url}index.html`), url).toBe(true);
});

/** What the first visit keeps for use without a network, MB: of pages only those that are no single hop's. */
const KEPT_MB = 5.5;

test(`all that is kept for use without a network stays within ${KEPT_MB} MB`, () => {
  const worker = readFileSync(`${BUILD_FOLDER}service-worker.js`, 'utf8');
  const named = [...worker.matchAll(/\+[`'"](\/[^`'"]*)[`'"]/g)].map((m) => m[1]!);
  const first = named.filter((path) => !/^\/hops\/[^_/]/.test(path));
  const bytes = first.map((path) => {
    const file = BUILD_FOLDER + path.slice(1) + (path.endsWith('/') ? 'index.html' : '');
    return existsSync(file) && statSync(file).isFile() ? statSync(file).size : 0;
  });
  const megabytes = bytes.reduce((sum, b) => sum + b, 0) / 1e6;
  console.log(`${megabytes.toFixed(2)} MB in ${bytes.length} files kept at the first visit`);
  expect(bytes.length).toBeGreaterThan(80);
  expect(megabytes).toBeLessThanOrEqual(KEPT_MB);
});

test('search engines may read it, and a host has a page for what is not there', () => {
  expect(readFileSync(`${BUILD_FOLDER}robots.txt`, 'utf8')).toMatch(/^User-agent: \*\nAllow: \/$/m);
  const html = readFileSync(`${BUILD_FOLDER}404.html`, 'utf8');
  expect(html).toContain('<html lang="en">');
  expect(html).toMatch(/name="robots" content="noindex"/);
  // It stands at any depth of any folder: nothing is asked for by an address.
  expect(html).not.toMatch(/(?:src|href)="(?!\.\/")/);
  const script = found(html, /<script>([^<]+)<\/script>/);
  const hash = createHash('sha256').update(script).digest('base64');
  expect(html).toContain(`script-src 'sha256-${hash}'`);
});

test('the schemas of our documents stand where programs can fetch them', () => {
  for (const name of ['brief', 'schedule', 'workspace']) {
    const text = readFileSync(`${BUILD_FOLDER}schemas/${name}.json`, 'utf8');
    const schema = JSON.parse(text) as { $schema: string; title: string; properties: object };
    expect(schema.$schema).toBe('https://json-schema.org/draft/2020-12/schema');
    expect(schema.title.length).toBeGreaterThan(4);
    expect(Object.keys(schema.properties).length).toBeGreaterThan(2);
  }
});
