// Serves the built site in build/, for people and for the journeys: on loopback, or at the address that a
// person who shares a freezer names.
// Vite's own static server does the work (types, compression, entity tags); this file decides only the address,
// that a page is also found without its closing slash, what a browser must not do, and what it may cache: files
// with a hash in their name for ever, all others only after asking.
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

/** What a browser must not do with a page, as far as the policy in its head cannot say it. */
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
 * A page is the index of a folder; its address without a closing slash is redirected to it. An address with two
 * slashes in a row is not found: a browser takes `//name` for another host.
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

/** An unknown address gets the page that says so and links back, as a static host does it. */
const pageForNowhere = (folder: string): Plugin => ({
  name: 'page-for-nowhere',
  // Runs last, when an address of a page has become that of its file.
  configurePreviewServer: (server) => () => {
    server.middlewares.use((request, response, next) => {
      const [path = ''] = (request.url ?? '').split('?');
      if (existsSync(`${folder}${path}`)) return next();
      const page = readFileSync(`${folder}404.html`);
      response.writeHead(404, { 'Content-Type': 'text/html; charset=utf-8' }).end(page);
    });
  },
});

/** The address to listen at, and the certificate; without one the server speaks plain HTTP. */
export interface ServedAt {
  readonly host: string;
  readonly certificate?: { readonly cert: Buffer; readonly key: Buffer };
}

/**
 * Starts serving.
 * @param port first port to try, 0 for any; if it is in use, the next free one is taken.
 * @param folder the built site, with a closing slash.
 * @param at loopback if not given.
 * @returns a failure when there is no built site, or the address cannot be listened at.
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
