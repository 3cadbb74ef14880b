// Keeps the pocket's page on the phone and opens it where home is out of reach. Keeps no page of the ledger.
const HOME = {{ home|tojson }};
const PARTS = {{ parts|tojson }};
const CACHE = "pocket-{{ version }}";
const PATIENCE_MS = 5000;
const FILE = /\.[a-z0-9]+$/i;

async function keepAll() {
  const paths = [HOME, ...PARTS];
  const answers = await Promise.all(paths.map((path) => fetch(path, { cache: "no-cache" })));
  // A page that was led elsewhere is the sign-in page: better the old parts than that.
  if (answers.some((answer) => !answer.ok || answer.redirected)) throw new Error("not all parts could be fetched");
  const cache = await caches.open(CACHE);
  await Promise.all(answers.map((answer, place) => cache.put(paths[place], answer)));
}

async function dropOld() {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name !== CACHE).map((name) => caches.delete(name)));
  await self.clients.claim();
}

async function kept(path, otherwise) {
  return (await (await caches.open(CACHE)).match(path)) ?? otherwise();
}

function fromHome(request) {
  const silence = new Promise((_, fail) => setTimeout(fail, PATIENCE_MS, new Error("no answer")));
  return Promise.race([fetch(request), silence]).catch((trouble) => kept(HOME, () => Promise.reject(trouble)));
}

self.addEventListener("install", (event) => event.waitUntil(keepAll()));
self.addEventListener("activate", (event) => event.waitUntil(dropOld()));
self.addEventListener("message", (event) => {
  if (event.data === "take over") self.skipWaiting();
});
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== self.location.origin) return;
  if (pathname === HOME || PARTS.includes(pathname)) {
    event.respondWith(kept(pathname, () => fetch(request)));
  } else if (request.mode === "navigate" && !FILE.test(pathname)) {
    event.respondWith(fromHome(request));
  }
});
