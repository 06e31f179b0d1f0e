// Opens the bench where the server does not answer: a page of a sample as it was last seen here, the page of what is not
// sent yet, and what they are made of. The server goes first, always. Nothing that is sent passes through here.

const PARTS = "parts";
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
  else if (isKeptPage(url)) event.respondWith(fromServerOrKept(event.request));
  else if (isDoor(url) && event.request.mode === "navigate") event.respondWith(door(event.request));
  else if (event.request.mode === "navigate") event.respondWith(pageOrUnsent(event.request));
});

// What is kept goes first: the address of a part changes with what is in it. A page kept before an upgrade asks for the
// parts it was made with, and gets those of now.
async function part(request) {
  const cache = await caches.open(PARTS);
  const kept = await cache.match(request, { ignoreVary: true });
  if (kept) return kept;
  try {
    return await fetch(request, { signal: AbortSignal.timeout(PATIENCE_MS) });
  } catch (problem) {
    const name = nameOf(request.url);
    const ofNow = (await cache.keys()).find((each) => nameOf(each.url) === name);
    if (!ofNow) throw problem;
    return cache.match(ofNow);
  }
}

const nameOf = (url) => new URL(url).pathname.split("/").slice(3).join("/"); // /static/VERSION/NAME

async function fromServerOrKept(request) {
  try {
    const answer = await fetch(request, { signal: AbortSignal.timeout(PATIENCE_MS) });
    if (answer.ok && !answer.redirected) await keep(PAGES, request, answer);
    return answer;
  } catch (problem) {
    const kept = await (await caches.open(PAGES)).match(request, { ignoreSearch: true, ignoreVary: true });
    if (kept) return kept;
    if (request.mode === "navigate") return unsent(problem);
    throw problem;
  }
}

// By its address alone: an answer varies by who asks, and the door empties all that.
async function keep(name, request, answer) {
  const copy = answer.clone();
  const headers = new Headers(copy.headers);
  headers.delete("vary");
  await (await caches.open(name)).put(new URL(request.url).pathname, new Response(await copy.blob(), { status: copy.status, headers }));
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
  if (event.data.keep) event.waitUntil(keepAll(event.data.keep).then((held) => event.ports[0].postMessage(held)));
});

// Gives whether all of it is held.
async function keepAll(pages) {
  const held = await Promise.all([keepParts(), ...pages.map((each) => keepOne(PAGES, each))]);
  return held.every(Boolean);
}

// The list of the parts is kept last: who has it has them all.
async function keepParts() {
  const cache = await caches.open(PARTS);
  const held = await cache.match(LIST);
  try {
    const answer = await fetch(LIST);
    const { version, parts } = await answer.clone().json();
    if (held && (await held.json()).version === version) return true;
    const kept = await Promise.all(parts.map((each) => keepOne(PARTS, each)));
    if (!kept.every(Boolean)) return false;
    await cache.put(LIST, answer);
    await dropOthers(cache, [...parts, LIST]);
    return true;
  } catch {
    return Boolean(held);
  }
}

async function dropOthers(cache, addresses) {
  for (const each of await cache.keys()) {
    if (!addresses.includes(new URL(each.url).pathname)) await cache.delete(each);
  }
}

async function keepOne(name, address) {
  try {
    const request = new Request(address, { credentials: "same-origin" });
    const answer = await fetch(request);
    if (answer.ok && !answer.redirected) await keep(name, request, answer);
    return answer.ok;
  } catch {
    return Boolean(await (await caches.open(name)).match(address));
  }
}
