// Keeps the place Brew readable without a network, once it was opened there: at the kettle there may be none.
// The network comes first for pages, so that a new version is never kept back; files whose names change with
// what is in them come from what is kept. Registered by the place Brew alone.
/// <reference no-default-lib="true"/>
/// <reference lib="esnext" />
/// <reference lib="webworker" />
/// <reference types="@sveltejs/kit" />
import { base, build, prerendered, version } from '$service-worker';

const worker = globalThis.self as unknown as ServiceWorkerGlobalScope;
const STORE = `blendbine-${version}`;
const BREW = `${base}/brew/`;
const kept = new Set(build);

worker.addEventListener('install', (event) => {
  const pages = prerendered.filter((path) => path === BREW);
  const keep = async () => {
    const store = await caches.open(STORE);
    await store.addAll([...build, ...pages]);
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

worker.addEventListener('fetch', (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== 'GET' || origin !== worker.location.origin) return;
  if (kept.has(pathname)) {
    event.respondWith(fromStore(request).then((found) => found ?? fetch(request)));
  } else if (pathname === BREW) {
    event.respondWith(
      fetch(request).catch(async (fault: unknown) => {
        const found = await fromStore(BREW);
        if (found) return found;
        throw fault;
      }),
    );
  }
});
