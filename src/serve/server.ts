// Serves the built site in build/, for people and for the journeys: on loopback, or where a person who shares a
// freezer says.
// Vite's own static server does the work (types, compression, entity tags); this file decides only
// the address, that a page is found without its closing slash too, what a browser must not do, and what
// may be cached: files with a hash in their name for ever, all others never without asking.
import { existsSync, readFileSync } from 'node:fs';
import type { Server as HttpServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { fileURLToPath } from 'node:url';
import { preview, type Plugin, type PreviewServer } from 'vite';
import { failure, success, type Outcome } from '#shared/outcome.ts';

const ROOT = fileURLToPath(new URL('../../', import.meta.url));
export const BUILD_FOLDER = fileURLToPath(new URL('../../build/', import.meta.url));
export const LOOPBACK = '127.0.0.1';
const HASHED_FILES = /^\/_app\/immutable\//;

export interface Site {
  /** Address with a closing slash, like `http://127.0.0.1:4173/`. */
  readonly url: string;
  readonly http: HttpServer;
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

/** An address where nothing is gets the page that says so and leads on, as a host gives it. */
const pageForNowhere = (folder: string): Plugin => ({
  name: 'page-for-nowhere',
  // Asked last, when an address of a page has become that of its file.
  configurePreviewServer: (server) => () => {
    server.middlewares.use((request, response, next) => {
      const [path = ''] = (request.url ?? '').split('?');
      if (existsSync(`${folder}${path}`)) return next();
      const page = readFileSync(`${folder}404.html`);
      response.writeHead(404, { 'Content-Type': 'text/html; charset=utf-8' }).end(page);
    });
  },
});

/** Where it listens, and with which certificate; without one it speaks plain HTTP. */
export interface ServedAt {
  readonly host: string;
  readonly certificate?: { readonly cert: Buffer; readonly key: Buffer };
}

/**
 * Starts serving.
 * @param port first port to try, 0 for any; the next free one is taken when it is in use.
 * @param folder the built site, with a closing slash.
 * @param at loopback if nothing is said.
 * @returns a failure when there is no built site, or nothing can listen at the address.
 */
export async function serveSite(
  port: number,
  folder = BUILD_FOLDER,
  { host, certificate }: ServedAt = { host: LOOPBACK },
): Promise<Outcome<Site>> {
  if (!existsSync(`${folder}index.html`)) {
    return failure({
      path: 'build/index.html',
      message: 'the site has not been built',
      cure: 'Run npm run build',
    });
  }
  const listening = preview({
    root: ROOT,
    configFile: false,
    appType: 'mpa',
    logLevel: 'error',
    plugins: [headers, pageAddresses(folder), pageForNowhere(folder)],
    build: { outDir: folder },
    preview: {
      host,
      port,
      strictPort: false,
      cors: false,
      ...(certificate && { https: certificate, allowedHosts: true as const }),
    },
  });
  let server: PreviewServer;
  try {
    server = await listening;
  } catch (error) {
    return failure({
      path: host,
      message: `nothing can be served there: ${(error as Error).message}`,
      cure: 'Give an address of this machine, and a certificate that belongs to its key',
    });
  }
  const http = server.httpServer as HttpServer;
  const address = http.address() as AddressInfo;
  const url = `${certificate ? 'https' : 'http'}://${host}:${address.port}/`;
  return success({ url, http, close: () => server.close() });
}
