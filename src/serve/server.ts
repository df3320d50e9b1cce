// Serves the built site in build/ on loopback and nowhere else, for people and for the journeys.
// Vite's own static server does the work (types, compression, entity tags); this file decides only
// the address, that a page is found without its closing slash too, what a browser must not do, and what
// may be cached: files with a hash in their name for ever, all others never without asking.
import { existsSync } from 'node:fs';
import type { AddressInfo } from 'node:net';
import { fileURLToPath } from 'node:url';
import { preview, type Plugin } from 'vite';
import { failure, success, type Outcome } from '#shared/outcome.ts';

const ROOT = fileURLToPath(new URL('../../', import.meta.url));
export const BUILD_FOLDER = fileURLToPath(new URL('../../build/', import.meta.url));
const LOOPBACK = '127.0.0.1';
const HASHED_FILES = /^\/_app\/immutable\//;

export interface Site {
  /** Address with a closing slash, like `http://127.0.0.1:4173/`. */
  readonly url: string;
  readonly close: () => Promise<void>;
}

/** What a browser must not do with a page, where the policy in its head cannot say it. */
const FORBIDDEN = {
  'Content-Security-Policy': "frame-ancestors 'none'",
  'X-Content-Type-Options': 'nosniff',
  'Referrer-Policy': 'no-referrer',
};

const headers: Plugin = {
  name: 'headers',
  configurePreviewServer(server) {
    server.middlewares.use((request, response, next) => {
      const hashed = HASHED_FILES.test(request.url ?? '');
      response.setHeader('Cache-Control', hashed ? 'max-age=31536000, immutable' : 'no-cache');
      for (const [name, value] of Object.entries(FORBIDDEN)) response.setHeader(name, value);
      next();
    });
  },
};

/**
 * A page is the index of a folder; its address without a closing slash leads there. Two slashes in a row
 * are nowhere: a browser takes `//name` for another host.
 */
const pageAddresses = (folder: string): Plugin => ({
  name: 'page-addresses',
  configurePreviewServer(server) {
    server.middlewares.use((request, response, next) => {
      const [path = '', query] = (request.url ?? '').split(/(?=\?)/, 2);
      if (path.includes('//')) {
        response.writeHead(404, { 'Content-Type': 'text/plain' }).end('There is no such page.');
        return;
      }
      const isPage = /^(\/[\w-]+)+$/.test(path) && existsSync(`${folder}${path}/index.html`);
      if (!isPage) return next();
      response.writeHead(308, { Location: `${path}/${query ?? ''}` }).end();
    });
  },
});

/**
 * Starts serving.
 * @param port first port to try, 0 for any; the next free one is taken when it is in use.
 * @param folder the built site, with a closing slash.
 * @returns a failure when there is no built site.
 */
export async function serveSite(port: number, folder = BUILD_FOLDER): Promise<Outcome<Site>> {
  if (!existsSync(`${folder}index.html`)) {
    return failure({
      path: 'build/index.html',
      message: 'the site has not been built',
      cure: 'Run npm run build',
    });
  }
  const server = await preview({
    root: ROOT,
    configFile: false,
    appType: 'mpa',
    logLevel: 'error',
    plugins: [headers, pageAddresses(folder)],
    build: { outDir: folder },
    preview: { host: LOOPBACK, port, strictPort: false, cors: false },
  });
  const address = server.httpServer.address() as AddressInfo;
  return success({ url: `http://${LOOPBACK}:${address.port}/`, close: () => server.close() });
}
