// The server of `npm start`, asked on loopback the way a hostile link would ask: it never leads to
// another host, it finds a page without its closing slash, and it says what a browser must not do.
import { readFileSync } from 'node:fs';
import { get, type IncomingMessage } from 'node:http';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { PLACES } from '#ui/shell/places.ts';
import { BUILD_FOLDER, serveSite, type Site } from '../../src/serve/server.ts';

let site: Site;

beforeAll(async () => {
  const served = await serveSite(0);
  if (!served.ok) throw new Error(JSON.stringify(served.problems));
  site = served.value;
});
afterAll(() => site.close());

/** Asks for a path exactly as written, which `fetch` would tidy first. */
function asked(path: string): Promise<IncomingMessage> {
  const { hostname, port } = new URL(site.url);
  return new Promise((resolve, reject) => {
    get({ hostname, port, path }, (response) => {
      response.resume();
      resolve(response);
    }).on('error', reject);
  });
}

test.each(PLACES.filter(({ path }) => path !== '/'))(
  '$path is found without its closing slash, with what stands behind it',
  async ({ path }) => {
    const bare = path.slice(0, -1);
    for (const query of ['', '?x', '?hop=Citra&view=map']) {
      const { statusCode, headers } = await asked(`${bare}${query}`);
      expect([query, statusCode, headers.location]).toEqual([query, 308, `${path}${query}`]);
      expect((await asked(`${path}${query}`)).statusCode).toBe(200);
    }
  },
);

test.each(['//hops', '///hops', '//hops/', '//example.com', '/hops//', '//hops?x', '/\\hops'])(
  '%s leads nowhere',
  async (path) => {
    const { statusCode, headers } = await asked(path);
    expect([statusCode, headers.location]).toEqual([404, undefined]);
  },
);

test('an address where nothing is gets the page that says so', async () => {
  const response = await fetch(new URL('nothing/at/all?x=../index.html', site.url));
  expect(response.status).toBe(404);
  expect(await response.text()).toBe(readFileSync(`${BUILD_FOLDER}404.html`, 'utf8'));
});

test.each(['/', '/hops', '/hops/', '/early.js', '/nothing', '//hops'])(
  '%s comes with what a browser must not do',
  async (path) => {
    const { headers } = await asked(path);
    expect(headers).toMatchObject({
      'content-security-policy': "frame-ancestors 'none'",
      'x-content-type-options': 'nosniff',
      'referrer-policy': 'no-referrer',
    });
  },
);

test('scripts named by their content stay for ever; a page, the worker and the manifest are asked for anew', async () => {
  const of = async (path: string) => (await asked(path)).headers;
  for (const path of ['/', '/hops/', '/service-worker.js', '/manifest.webmanifest'])
    expect([path, (await of(path))['cache-control']]).toEqual([path, 'no-cache']);
  const hashed = /_app\/immutable\/entry\/[^"]+\.js/.exec(
    readFileSync(`${BUILD_FOLDER}index.html`, 'utf8'),
  );
  expect(await of(`/${hashed![0]}`)).toMatchObject({
    'cache-control': 'max-age=31536000, immutable',
  });
  expect((await of('/service-worker.js'))['content-type']).toMatch(/javascript/);
  expect((await of('/manifest.webmanifest'))['content-type']).toBe('application/manifest+json');
});

test('says so where this machine has no such address', async () => {
  // Of the range kept for documentation (RFC 5737): nobody's.
  const served = await serveSite(0, BUILD_FOLDER, { host: '198.51.100.77' });
  expect(served.ok ? [] : served.problems[0]!.cure).toContain('address of this machine');
});

const POLICY = [
  "default-src 'self'",
  "form-action 'self'",
  "style-src-attr 'unsafe-inline'",
  "worker-src 'self'",
  "base-uri 'none'",
  "object-src 'none'",
];

test.each([...PLACES.map(({ path }) => path), '/hops/citra/', '/own/'])(
  '%s says what it may load and run; that it keeps to it every journey hears',
  async (path) => {
    const html = await (await fetch(new URL(path, site.url))).text();
    const [, policy] = /http-equiv="content-security-policy" content="([^"]*)"/.exec(html)!;
    const directives = policy!.replaceAll('&#39;', "'").split(';');
    const named = directives.map((directive) => directive.trim());
    expect(named).toEqual(expect.arrayContaining(POLICY));
    expect(named.find((d) => d.startsWith('style-src '))).not.toContain('unsafe-inline');
    expect(policy).not.toContain('blob:');
  },
);
