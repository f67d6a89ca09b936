// Between the pages and the net: what was opened stays readable without a connection. RELEASE is put before this
// by the site. A page or picture is kept only if its answer says Keep-For: the key of the person it was answered
// to, or * for a picture on such a page. Answers that are sent pass by untouched.

const KEPT = "kept-";
const STATIC = "static-";
const AHEAD = "X-Ahead";
const PATIENCE_MS = 5000;
const FULL = "full";
const HASHED = /\.[0-9a-f]{12}\.\w+$/;

const ours = STATIC + RELEASE.version;
const named = (prefix) => caches.keys().then((names) => names.filter((name) => name.startsWith(prefix)));
const drop = (names) => Promise.all(names.map((name) => caches.delete(name)));

addEventListener("install", (event) => event.waitUntil(layIn().then(() => skipWaiting())));
addEventListener("activate", (event) => event.waitUntil(tidy().then(() => clients.claim())));

// The page that is shown where nothing is kept, with its style sheets and scripts.
async function layIn() {
  const cache = await caches.open(ours);
  const response = await fetch(RELEASE.offline, { cache: "reload" });
  const text = await response.clone().text();
  await cache.put(RELEASE.offline, response);
  const files = [...text.matchAll(/(?:href|src)="([^"#]+)/g)].map((found) => found[1]);
  await cache.addAll([...new Set(files.filter((file) => file.startsWith(RELEASE.static)))]);
}

// Pages that were kept before this release need its files, so those of one release before stay.
async function tidy() {
  const names = (await named(STATIC)).filter((name) => name !== ours);
  await drop(names.slice(0, -1));
}

addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (url.origin !== location.origin) return;
  if (request.method === "POST" && url.pathname === RELEASE.signOut) event.waitUntil(named(KEPT).then(drop));
  if (request.method !== "GET") return;
  if (url.pathname.startsWith(RELEASE.static)) event.respondWith(staticFile(request));
  else if (request.mode === "navigate" || request.destination === "image" || request.headers.has(AHEAD)) {
    event.respondWith(pageOrPicture(event));
  }
});

async function staticFile(request) {
  const kept = await caches.match(request, { ignoreVary: true });
  if (kept && HASHED.test(request.url)) return kept;
  try {
    const response = await fetch(request);
    if (response.ok) await put(ours, request, response.clone());
    return response;
  } catch (error) {
    if (kept) return kept;
    throw error;
  }
}

async function pageOrPicture(event) {
  const { request } = event;
  const isAhead = request.headers.has(AHEAD);
  const kept = isAhead ? null : await keptCopy(request);
  const answer = fetchAndKeep(event, isAhead);
  try {
    return await (kept ? Promise.race([answer, patience()]) : answer);
  } catch {
    event.waitUntil(answer.catch(() => {}));
    if (kept) return request.mode === "navigate" ? stamped(kept) : kept;
    if (request.mode === "navigate") return caches.match(RELEASE.offline);
    return Response.error();
  }
}

const patience = () => new Promise((_, reject) => setTimeout(reject, PATIENCE_MS));

async function fetchAndKeep(event, isAhead) {
  const response = await fetch(event.request);
  const kept = keepOrDrop(event.request, response);
  if (!isAhead) {
    event.waitUntil(kept);
    return response;
  }
  // Whoever takes a module along is told what is truly there.
  return (await kept) === FULL ? new Response("", { status: 507 }) : response;
}

// FULL where the device has no room for it. What is answered otherwise than before is kept no longer, as a page of an
// attempt that was handed in; a site in trouble is no reason to drop anything.
async function keepOrDrop(request, response) {
  const reader = response.ok && !response.redirected && response.headers.get("Keep-For");
  if (!reader) {
    if (response.status < 500) await forget(request.url);
    return null;
  }
  // Before anything is waited for: the page reads the answer meanwhile.
  const copy = response.clone();
  const [present] = await named(KEPT);
  if (reader === "*") return present ? put(present, request.url, copy) : null;
  await drop((await named(KEPT)).filter((name) => name !== KEPT + reader));
  return put(KEPT + reader, request.url, copy);
}

async function put(name, request, response) {
  try {
    await (await caches.open(name)).put(request, response);
    return null;
  } catch {
    return FULL;
  }
}

async function forget(address) {
  for (const name of await named(KEPT)) await (await caches.open(name)).delete(address, { ignoreVary: true });
}

async function keptCopy(request) {
  for (const name of await named(KEPT)) {
    const found = await (await caches.open(name)).match(request.url, { ignoreVary: true });
    if (found) return found;
  }
  return null;
}

// A page that comes from the device says so, with the time it was answered.
async function stamped(response) {
  const when = Date.parse(response.headers.get("Date")) || 0;
  const text = (await response.text()).replace("<html ", `<html data-kept-at="${when}" `);
  return new Response(text, { status: response.status, headers: response.headers });
}
