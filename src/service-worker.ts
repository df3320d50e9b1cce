// Keeps the place Brew readable without a network, once it was opened there: at the kettle there may be none.
// The network comes first for pages, so that a new version is never kept back; files whose names change with
// what is in them come from what is kept. Registered by the place Brew alone.
import { base, build, prerendered, version } from '$service-worker';

/** What is used here of a service worker's world; the types of the page's world do not know it. */
interface Lasting extends Event {
  waitUntil(job: Promise<unknown>): void;
}
interface Fetching extends Event {
  readonly request: Request;
  respondWith(answer: Promise<Response>): void;
}
interface ServiceWorkerWorld {
  readonly location: Location;
  readonly navigator: Navigator;
  readonly clients: { claim(): Promise<void> };
  skipWaiting(): Promise<void>;
  addEventListener(type: 'install' | 'activate', heard: (event: Lasting) => void): void;
  addEventListener(type: 'fetch', heard: (event: Fetching) => void): void;
}
const worker = globalThis as unknown as ServiceWorkerWorld;
const STORE = `blendbine-${version}`;
const BREW = `${base}/brew/`;
const kept = new Set(build);
/** What a reload of the place Brew asks for under a name that stays. */
const named = new Set(prerendered.filter((path) => path === BREW || path.endsWith('.js')));

worker.addEventListener('install', (event) => {
  const keep = async () => {
    const store = await caches.open(STORE);
    await store.addAll([...build, ...named]);
    await worker.skipWaiting();
  };
  event.waitUntil(keep());
});

worker.addEventListener('activate', (event) => {
  const tidy = async () => {
    const names = await caches.keys();
    const old = names.filter((name) => name.startsWith('blendbine-') && name !== STORE);
    await Promise.all(old.map((name) => caches.delete(name)));
    await worker.clients.claim();
  };
  event.waitUntil(tidy());
});

async function fromStore(request: Request | string): Promise<Response | undefined> {
  return (await caches.open(STORE)).match(request, { ignoreSearch: true });
}

/** From the network; from what is kept where there is none. */
async function fromNetwork(request: Request, pathname: string): Promise<Response> {
  const keptCopy = () => fromStore(pathname);
  if (!worker.navigator.onLine) {
    const found = await keptCopy();
    if (found) return found;
  }
  try {
    return await fetch(request);
  } catch (fault) {
    const found = await keptCopy();
    if (found) return found;
    throw fault;
  }
}

worker.addEventListener('fetch', (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== 'GET' || origin !== worker.location.origin) return;
  if (kept.has(pathname)) {
    event.respondWith(fromStore(request).then((found) => found ?? fetch(request)));
  } else if (named.has(pathname)) {
    event.respondWith(fromNetwork(request, pathname));
  }
});
