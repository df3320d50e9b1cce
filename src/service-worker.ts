// Keeps the whole program readable without a network after one visit: the shell (pages, scripts, threads)
// when it is installed, the page of a hop when it is opened. Everything kept is of one version, and a page is
// served from it, so that page and scripts always fit; a newer version waits until a person takes it
// (`VersionNotice.svelte` registers this worker and asks).
import { base, build, files, prerendered, version } from '$service-worker';

/** What is used here of a service worker's world; the types of the page's world do not know it. */
interface Lasting extends Event {
  waitUntil(job: Promise<unknown>): void;
}
interface Messaging extends Lasting {
  readonly data: unknown;
}
interface Fetching extends Lasting {
  readonly request: Request;
  respondWith(answer: Promise<Response>): void;
}
interface ServiceWorkerWorld {
  readonly location: Location;
  readonly clients: { claim(): Promise<void> };
  readonly registration: ServiceWorkerRegistration;
  skipWaiting(): Promise<void>;
  addEventListener(type: 'install' | 'activate', heard: (event: Lasting) => void): void;
  addEventListener(type: 'fetch', heard: (event: Fetching) => void): void;
  addEventListener(type: 'message', heard: (event: Messaging) => void): void;
}
const worker = globalThis as unknown as ServiceWorkerWorld;
/** Two copies of the program may be served by one host, each in its folder: each has its own stores. */
const STORES = `blendbine ${base}/ `;
const STORE = STORES + version;
/** Stores left when this version takes over: its own, and that of pages still open in the last one. */
const STORES_KEPT = 2;
const DATA = '__data.json';

const pages = new Set(prerendered);
/** The page of one hop, or its figures: of 121 few are opened. */
const isOfOneHop = (path: string) => path.startsWith(`${base}/hops/`) && /\/hops\/[^_/]/.test(path);
const named = [...prerendered.filter((path) => !isOfOneHop(path)), ...files];
const shell = new Set([...build, ...named]);

/** Past the browser's own cache, where a file keeps its name from version to version. */
const anew = (path: string) => new Request(path, { cache: 'reload' });

worker.addEventListener('install', (event) => {
  const keep = async () => {
    const store = await caches.open(STORE);
    await store.addAll([...build, ...named.map(anew)]);
  };
  event.waitUntil(keep());
});

worker.addEventListener('activate', (event) => {
  const tidy = async () => {
    // In the order in which they were made.
    const stores = (await caches.keys()).filter((name) => name.startsWith(STORES));
    await Promise.all(stores.slice(0, -STORES_KEPT).map((name) => caches.delete(name)));
    await worker.clients.claim();
  };
  event.waitUntil(tidy());
});

/** How long no page may have asked for anything before the next version is called, ms. */
const QUIET = 400;
/** A page that never stops asking holds the next version up for so long at most, ms. */
const LONGEST_WAIT = 15_000;
let lastAsked = Date.now();

/**
 * Calls the next version once no page asks for anything. A browser stops the old version for the new one only
 * while it has nothing to answer; a request in the very moment of the change starts it again, and the new
 * version then waits for as long as any page is open.
 */
async function handOver(): Promise<void> {
  const latest = Date.now() + LONGEST_WAIT;
  const rest = () => Math.min(lastAsked + QUIET, latest) - Date.now();
  while (rest() > 0) await new Promise((done) => setTimeout(done, rest()));
  worker.registration.waiting?.postMessage('take over');
}

worker.addEventListener('message', (event) => {
  if (event.data === 'hand over') event.waitUntil(handOver());
  if (event.data === 'take over') void worker.skipWaiting();
});

/** What is kept of this version; of scripts, whose names hold their content, also of the last. */
async function kept(path: string): Promise<Response | undefined> {
  const found = await (await caches.open(STORE)).match(path);
  if (found || pages.has(path)) return found;
  const stores = (await caches.keys()).filter((name) => name.startsWith(STORES));
  for (const name of stores) {
    const older = await (await caches.open(name)).match(path);
    if (older) return older;
  }
  return undefined;
}

/** Keeps the page of a hop and its figures, whichever of them was asked for. */
async function keepHop(path: string): Promise<void> {
  const page = path.endsWith(DATA) ? path.slice(0, -DATA.length) : path;
  const store = await caches.open(STORE);
  await store.addAll([anew(page), anew(page + DATA)]);
}

/** Said in place of a hop's page that was never opened here. */
function notHere(): Response {
  const html = `<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<title>Not on this device: Blendbine</title><h1>Not on this device</h1>
<p>There is no network, and the page of this hop was not opened here before.
<a href="${base}/hops/">All hops</a> stand here with their figures.</p></html>`;
  const headers = { 'Content-Type': 'text/html; charset=utf-8' };
  return new Response(html, { status: 503, headers });
}

async function answer(event: Fetching): Promise<Response> {
  const { request } = event;
  const { pathname, search } = new URL(request.url);
  const found = await kept(pathname);
  if (found) return found;
  // A page is the index of a folder.
  if (pages.has(`${pathname}/`)) return Response.redirect(`${pathname}/${search}`, 308);
  try {
    const response = await fetch(request);
    if (isOfOneHop(pathname) && pages.has(pathname) && response.ok)
      event.waitUntil(keepHop(pathname).catch(() => undefined));
    return response;
  } catch (fault) {
    if (request.mode === 'navigate' && isOfOneHop(pathname)) return notHere();
    throw fault;
  }
}

worker.addEventListener('fetch', (event) => {
  lastAsked = Date.now();
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== 'GET' || origin !== worker.location.origin) return;
  const ours = shell.has(pathname) || pages.has(pathname) || pages.has(`${pathname}/`);
  const ofAnyVersion = pathname.startsWith(`${base}/_app/immutable/`);
  if (!ours && !ofAnyVersion) return;
  event.respondWith(answer(event));
});
