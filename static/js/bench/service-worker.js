// Opens the bench where the server does not answer: a page of a sample as it was last seen here, the page of what is not
// sent yet, and what they are made of. The server goes first with a page, what is kept with its parts. Nothing that is
// sent passes through here.

const PARTS = "parts"; // the beginning of a name: all parts of one version lie in a store of their own
const PAGES = "pages";
const LIST = "/bench-parts"; // shedgrade/web/bench_parts.py
const PATIENCE_MS = 10_000; // with a link that is neither there nor gone

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

const isPart = (url) => url.pathname.startsWith("/static/");
const isKeptPage = (url) => /^\/samples\/\d+(\/rules)?$/.test(url.pathname) || url.pathname === "/unsent";
// Whoever comes to the door may be another person: what was drawn for the last one is theirs.
const isDoor = (url) => url.pathname === "/sign-in";

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== location.origin) return;
  if (isPart(url)) event.respondWith(part(event.request));
  else if (event.request.headers.has("HX-Request")) return;
  else if (isKeptPage(url)) event.respondWith(keptPage(event.request));
  else if (isDoor(url) && event.request.mode === "navigate") event.respondWith(door(event.request));
  else if (event.request.mode === "navigate") event.respondWith(pageOrUnsent(event.request));
});

const fromServer = (request) => fetch(request, { signal: AbortSignal.timeout(PATIENCE_MS) });
const fromKept = (request) => caches.match(request, { ignoreSearch: true, ignoreVary: true });

// The address of a part changes with what is in it. A page kept before an upgrade asks for the parts it was made with, and
// without the server gets those of now.
async function part(request) {
  const kept = await fromKept(request);
  if (kept) return kept;
  try {
    return await fromServer(request);
  } catch (problem) {
    return (await partOfNow(request)) ?? Promise.reject(problem);
  }
}

async function partOfNow(request) {
  const name = nameOf(request.url);
  for (const store of (await caches.keys()).filter((each) => each.startsWith(PARTS))) {
    const cache = await caches.open(store);
    const same = (await cache.keys()).find((each) => nameOf(each.url) === name);
    if (same) return cache.match(same);
  }
  return null;
}

const nameOf = (url) => new URL(url).pathname.split("/").slice(3).join("/"); // /static/VERSION/NAME

async function keptPage(request) {
  let answer = null;
  try {
    answer = await fromServer(request);
  } catch (problem) {
    const kept = await fromKept(request);
    if (kept) return kept;
    if (request.mode === "navigate") return unsent(problem);
    throw problem;
  }
  await keep(PAGES, request.url, answer);
  return answer;
}

// By its address alone: an answer varies by who asks, and the door empties all that. Gives whether it is kept: another
// page that the address led to is not, and a full disk keeps what it had. What was kept says so (place.js).
async function keep(name, address, answer) {
  if (!answer.ok || answer.redirected) return false;
  try {
    const copy = answer.clone();
    const headers = new Headers(copy.headers);
    headers.delete("vary");
    headers.set("server-timing", "kept");
    const cache = await caches.open(name);
    await cache.put(new URL(address, location.origin).pathname, new Response(await copy.blob(), { status: copy.status, headers }));
    return true;
  } catch {
    return false;
  }
}

async function pageOrUnsent(request) {
  try {
    return await fetch(request);
  } catch (problem) {
    return unsent(problem);
  }
}

// Instead of a page that is not kept: what stands on this tablet and is not sent.
async function unsent(problem) {
  const kept = await (await caches.open(PAGES)).match("/unsent");
  if (kept) return kept;
  throw problem;
}

async function door(request) {
  try {
    const answer = await fetch(request);
    await caches.delete(PAGES);
    return answer;
  } catch (problem) {
    return unsent(problem);
  }
}

self.addEventListener("message", (event) => {
  if (event.data.keep) event.waitUntil(keepAll(event.data.keep).catch(() => false).then((held) => event.ports[0].postMessage(held)));
});

// Gives whether all of it is held.
async function keepAll(pages) {
  const held = await Promise.all([keepParts(), ...pages.map(keepPage)]);
  return held.every(Boolean);
}

const keepNow = (name) => async (address) => keep(name, address, await fetch(address, { credentials: "same-origin" }));

async function keepPage(address) {
  const isKept = await keepNow(PAGES)(address).catch(() => false);
  return isKept || Boolean(await caches.match(address));
}

const isWhole = async (name) => Boolean(await (await caches.open(name)).match(LIST));

// Those of a version whole or not at all: its list is kept last, and only then do older ones go. Gives whether any are held.
async function keepParts() {
  const before = (await caches.keys()).filter((each) => each.startsWith(PARTS));
  try {
    const list = await fetch(LIST);
    const { version, parts } = await list.clone().json();
    const name = `${PARTS} ${version}`;
    if (await isWhole(name)) return true;
    const kept = await Promise.all(parts.map(keepNow(name)));
    if (kept.every(Boolean) && await keep(name, LIST, list)) {
      await Promise.all(before.filter((each) => each !== name).map((each) => caches.delete(each)));
      return true;
    }
    await caches.delete(name);
  } catch {
    // Without the server what was held is held.
  }
  return (await Promise.all(before.map(isWhole))).some(Boolean);
}
