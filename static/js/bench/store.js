// What this browser keeps of fruit, in IndexedDB, on the disk before anything else happens to it. An entry is a fruit or
// the voiding of one; its state is "waiting" (to be sent), "sent" (the server has named its id back), "stuck" (a person
// decides), "put aside" or "corrected". Nothing is deleted before the server has had it, or a person put it aside, for
// fourteen days.

export const KEPT_FOR = 14 * 24 * 60 * 60 * 1000;

let opened = null;

export function open() {
  opened ??= new Promise((resolve, reject) => {
    const request = indexedDB.open("bench", 2);
    request.onupgradeneeded = () => {
      const entries = request.result.createObjectStore("entries", { keyPath: "seq", autoIncrement: true });
      entries.createIndex("mark", "mark");
      entries.createIndex("key", "key", { unique: true });
      entries.createIndex("state", "state");
      entries.createIndex("fruit", "answer.fruit");
      request.result.createObjectStore("notes", { keyPath: "name" });
    };
    request.onsuccess = () => {
      request.result.onversionchange = () => { request.result.close(); opened = null; };
      resolve(request.result);
    };
    request.onerror = () => { opened = null; reject(request.error); };
    request.onblocked = () => reject(new Error("another window holds an older store"));
  });
  return opened;
}

const asked = (request) => new Promise((resolve, reject) => {
  request.onsuccess = () => resolve(request.result);
  request.onerror = () => reject(request.error);
});

// Strict: the disk has it, not only the browser. A tablet's battery may die the moment after.
async function change(name, work) {
  const transaction = (await open()).transaction(name, "readwrite", { durability: "strict" });
  const ended = new Promise((resolve, reject) => {
    transaction.oncomplete = resolve;
    transaction.onerror = transaction.onabort = () => reject(transaction.error);
  });
  ended.catch(() => {}); // whoever waits for it is told
  const given = await work(transaction.objectStore(name));
  await ended;
  return given;
}

async function read(name, work) {
  return work((await open()).transaction(name).objectStore(name));
}

const asNew = (entry) => ({ ...entry, state: "waiting", since: Date.now() });

export const add = (entry) => change("entries", (entries) => asked(entries.add(asNew(entry))));

// What a person decides about an entry, which they saw in this state: once. Whoever comes second finds it decided, and
// changes nothing. Gives whether it was changed.
export function decide(seen, changed, instead = null) {
  return change("entries", async (entries) => {
    const found = await asked(entries.index("key").get(seen.key));
    if (found?.state !== seen.state) return false;
    await asked(entries.put({ ...found, ...changed, since: Date.now() }));
    if (instead) await asked(entries.add(asNew(instead)));
    return true;
  });
}

// The old one stays, to be seen, and is not sent.
export const replace = (seen, entry) => decide(seen, { state: "corrected", by: entry.key }, entry);

async function update(entries, key, changed) {
  const found = await asked(entries.index("key").get(key));
  if (found) await asked(entries.put({ ...found, ...changed }));
}

// By id what changes of each.
export function changeAll(changes) {
  return change("entries", async (entries) => {
    for (const [key, changed] of changes) await update(entries, key, changed);
  });
}

export const withState = (state) => read("entries", (entries) => asked(entries.index("state").getAll(state)));
export const ofMark = (mark) => read("entries", (entries) => asked(entries.index("mark").getAll(mark)));
export const all = () => read("entries", (entries) => asked(entries.getAll()));
export const withKey = (key) => read("entries", (entries) => asked(entries.index("key").get(key)));

// Of entries that wait, as people count: fruit that count, and undoings. An undone fruit is neither.
export function people(waiting) {
  const undone = new Set(waiting.filter((each) => each.voids).map((each) => each.voids));
  return { fruit: waiting.filter((each) => each.fields && !undone.has(each.key)).length, undoings: undone.size, undone };
}

export async function counts() {
  const [waiting, stuck] = await Promise.all([withState("waiting"), read("entries", (entries) => asked(entries.index("state").count("stuck")))]);
  return { ...people(waiting), waiting: waiting.length, stuck };
}

// "3 not sent yet", "1 undo not sent yet", both, or nothing.
export const unsentWords = ({ fruit, undoings }) => [
  fruit && `${fruit} not sent yet`, undoings && `${undoings} ${undoings === 1 ? "undo" : "undos"} not sent yet`,
].filter(Boolean);

// The entry under which the server has stored the fruit of this number of its own.
export async function ofFruit(fruit, mark) {
  const found = await read("entries", (entries) => asked(entries.index("fruit").getAll(fruit)));
  return found.findLast((each) => each.mark === mark && each.fields);
}

export function prune(before) {
  return change("entries", async (entries) => {
    for (const state of ["sent", "put aside", "corrected"]) {
      for (const each of await asked(entries.index("state").getAll(state))) {
        if (each.since < before) await asked(entries.delete(each.seq));
      }
    }
  });
}

export async function hasVoiding(fruit) {
  return (await all()).some((each) => each.voids === fruit && each.state !== "put aside");
}

// One window at a time is the sender where the browser has no locks to give: by a lease that runs out by itself.
export function claim(holder, length) {
  return change("notes", async (notes) => {
    const lease = await asked(notes.get("sender"));
    const now = Date.now();
    // A clock that was set back must not shut everybody out.
    if (lease && lease.holder !== holder && lease.until > now && lease.until - now <= length) return false;
    await asked(notes.put({ name: "sender", holder, until: now + length }));
    return true;
  });
}

export function release(holder) {
  return change("notes", async (notes) => {
    const lease = await asked(notes.get("sender"));
    if (lease?.holder === holder) await asked(notes.delete("sender"));
  });
}
