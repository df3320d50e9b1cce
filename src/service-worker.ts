// Keeps the whole program readable without a network after one visit: the shell (pages, scripts, threads)
// when it is installed, the page of a hop when it is opened. Everything kept is of one version, and a page is
// served from it, so that page and scripts always fit. A newer version is kept beside it and served from the
// moment a person takes it (`VersionNotice.svelte` registers this worker and asks).
import { base, build, files, prerendered, version } from '$service-worker';

/** The part of the types of a service worker that is used here; those of a page lack it. */
interface Lasting extends Event {
  waitUntil(job: Promise<unknown>): void;
}
interface Messaging extends Lasting {
  readonly data: unknown;
  readonly ports: readonly MessagePort[];
}
interface OpenPage {
  postMessage(message: unknown): void;
}
interface Fetching extends Lasting {
  readonly request: Request;
  respondWith(answer: Promise<Response>): void;
}
interface ServiceWorkerWorld {
  readonly location: Location;
  readonly clients: {
    claim(): Promise<void>;
    matchAll(options: { includeUncontrolled: true }): Promise<readonly OpenPage[]>;
  };
  addEventListener(type: 'install' | 'activate', heard: (event: Lasting) => void): void;
  addEventListener(type: 'fetch', heard: (event: Fetching) => void): void;
  addEventListener(type: 'message', heard: (event: Messaging) => void): void;
}
const worker = globalThis as unknown as ServiceWorkerWorld;
/** One host may serve two copies of the program, each in a folder of its own: each copy has its own stores. */
const STORES = `blendbine ${base}/ `;
const STORE = STORES + version;
/**
 * How many stores are kept beside that of this version and the one served: that of pages still open in the version
 * before.
 */
const LAST_KEPT = 1;
/**
 * Address in the store of this version that names the store from which pages are served, once a newer version is
 * taken.
 */
const TAKEN = `${base}/taken`;
const DATA = '__data.json';

const pages = new Set(prerendered);
/** The address of the page of one hop, or of its figures: few of the 121 are ever opened. */
const isOfOneHop = (path: string) => path.startsWith(`${base}/hops/`) && /\/hops\/[^_/]/.test(path);
const named = [...prerendered.filter((path) => !isOfOneHop(path)), ...files];
const shell = new Set([...build, ...named]);

/** Bypasses the browser's own cache, because a file may keep its name from version to version. */
const anew = (path: string) => new Request(path, { cache: 'reload' });

worker.addEventListener('install', (event) => {
  const keep = async () => {
    const store = await caches.open(STORE);
    await store.addAll([...build, ...named.map(anew)]);
  };
  event.waitUntil(keep());
});

worker.addEventListener('activate', (event) => {
  const begin = async () => {
    // This version was in use before and comes back: removes the name of the newer store that it wrote then.
    await (await caches.open(STORE)).delete(TAKEN);
    await tidy(STORE);
    await worker.clients.claim();
  };
  event.waitUntil(begin());
});

/** The stores of all versions kept here, in the order in which they were made. */
const storesKept = async () => (await caches.keys()).filter((name) => name.startsWith(STORES));

async function tidy(inUse: string): Promise<void> {
  const others = (await storesKept()).filter((name) => name !== STORE && name !== inUse);
  await Promise.all(others.slice(0, -LAST_KEPT).map((name) => caches.delete(name)));
}

/** The store from which pages are served: that of the version taken last, else that of this version. */
async function findServed(): Promise<string> {
  const taken = await (await (await caches.open(STORE)).match(TAKEN))?.text();
  return taken !== undefined && (await caches.has(taken)) ? taken : STORE;
}
let served: Promise<string> | undefined;
const storeServed = () => (served ??= findServed());
const versionIn = (store: string) => store.slice(STORES.length);

/**
 * Serves a version that is kept whole from now on, and tells every page. By itself the browser puts the new worker in
 * place only when no page of the old one is open, too late for a person who has asked for the new version; forced to,
 * it waits as long as another tab still asks the old worker for files.
 */
async function take(taken: string): Promise<void> {
  const store = STORES + taken;
  await (await caches.open(STORE)).put(TAKEN, new Response(store));
  served = Promise.resolve(store);
  await tidy(store);
  for (const page of await worker.clients.matchAll({ includeUncontrolled: true }))
    page.postMessage({ served: taken });
}

worker.addEventListener('message', (event) => {
  const { data, ports } = event;
  if (data === 'own version') ports[0]?.postMessage(versionIn(STORE));
  else if (data === 'version served')
    event.waitUntil(storeServed().then((store) => ports[0]?.postMessage(versionIn(store))));
  else if (typeof data === 'object' && data !== null && 'take' in data)
    event.waitUntil(take(String(data.take)));
});

/**
 * The kept answer to a request, from the version served. A script is also taken from the other versions, since its
 * name changes with its content.
 */
async function kept(path: string): Promise<Response | undefined> {
  const found = await (await caches.open(await storeServed())).match(path);
  if (found || pages.has(path)) return found;
  for (const name of await storesKept()) {
    const older = await (await caches.open(name)).match(path);
    if (older) return older;
  }
  return undefined;
}

/** Keeps the page of a hop and its figures, whichever of them was asked for. */
async function keepHop(path: string): Promise<void> {
  const page = path.endsWith(DATA) ? path.slice(0, -DATA.length) : path;
  const store = await caches.open(await storeServed());
  await store.addAll([anew(page), anew(page + DATA)]);
}

/** The text shown in place of a hop's page that was never opened here. */
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
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== 'GET' || origin !== worker.location.origin) return;
  const ours = shell.has(pathname) || pages.has(pathname) || pages.has(`${pathname}/`);
  const ofAnyVersion = pathname.startsWith(`${base}/_app/immutable/`);
  if (!ours && !ofAnyVersion) return;
  event.respondWith(answer(event));
});
