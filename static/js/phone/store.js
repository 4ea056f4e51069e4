// What this phone keeps until the server has it: checks begun, messages to send, photographs.
// Every write is on the disk before it counts, and a write that hangs is told as not saved.

const NAME = "loftbook";
const STORES = { drafts: "id", outbox: "id", photographs: ["check", "sha256"], receipts: "id", facts: "name" };
const PATIENCE = 10000;

class NotSaved extends Error {
  constructor(why) {
    super(`Not saved on this phone: ${why?.message ?? why ?? "no answer"}`);
  }
}

let opened = null;

function open() {
  opened ??= new Promise((done, failed) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => {
      for (const [name, keyPath] of Object.entries(STORES)) asked.result.createObjectStore(name, { keyPath });
    };
    asked.onerror = () => failed(asked.error);
    asked.onsuccess = () => {
      const forget = () => {
        asked.result.close();
        opened = null;
      };
      asked.result.onversionchange = asked.result.onclose = forget;
      done(asked.result);
    };
  }).catch((fault) => {
    opened = null;
    throw fault;
  });
  return opened;
}

function patiently(work) {
  const late = new Promise((_, failed) => setTimeout(() => failed(new Error("the store did not answer")), PATIENCE));
  return Promise.race([work, late]);
}

// Run `work` in one transaction; it gets the stores by name and may return a request.
async function inTransaction(names, mode, work) {
  const database = await open();
  return new Promise((done, failed) => {
    const transaction = database.transaction(names, mode, { durability: "strict" });
    const stores = Object.fromEntries(names.map((name) => [name, transaction.objectStore(name)]));
    const asked = work(stores);
    transaction.oncomplete = () => done(asked?.result);
    transaction.onabort = () => failed(transaction.error ?? new Error("interrupted"));
  });
}

export async function write(names, work) {
  try {
    return await patiently(inTransaction(names, "readwrite", work));
  } catch (fault) {
    throw new NotSaved(fault);
  }
}

export const read = (name, key) => patiently(inTransaction([name], "readonly", (stores) => stores[name].get(key)));
export const readAll = (name) => patiently(inTransaction([name], "readonly", (stores) => stores[name].getAll()));

// Several answers of one moment: `work` asks in one transaction and takes what comes.
export const readTogether = (names, work) => patiently(inTransaction(names, "readonly", work));

export async function fact(name, otherwise = null) {
  return (await read("facts", name))?.value ?? otherwise;
}

export const setFact = (name, value) => write(["facts"], ({ facts }) => facts.put({ name, value }));

// An id of this phone, and a counter that shows a gap.
export async function nextNumber() {
  const device = await fact("device", newId());
  const number = (await fact("number", 0)) + 1;
  await write(["facts"], ({ facts }) => {
    facts.put({ name: "device", value: device });
    facts.put({ name: "number", value: number });
  });
  return { device, number };
}

const hexOf = (bytes) => [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");

// A UUID of version 7 (RFC 9562): sorted by time, unique without asking anybody.
export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  let time = Date.now();
  for (let place = 5; place >= 0; place -= 1) {
    bytes[place] = time % 256;
    time = Math.floor(time / 256);
  }
  bytes[6] = (bytes[6] & 0x0f) | 0x70;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  return hexOf(bytes).replace(/(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
}

export async function sha256(content) {
  const bytes = typeof content === "string" ? new TextEncoder().encode(content) : await content.arrayBuffer();
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return hexOf(digest);
}

// Canonical JSON (RFC 8785): names in order, nothing between. A browser writes numbers and texts so
// by itself, and our names are never whole numbers, which it would put first.
export const canonical = (content) =>
  JSON.stringify(content, (_, value) =>
    value && typeof value === "object" && !Array.isArray(value)
      ? Object.fromEntries(Object.entries(value).sort(([one], [other]) => (one < other ? -1 : 1)))
      : value,
  );

// The phone may be full: said before anything is lost.
export async function roomLeft() {
  const told = await navigator.storage?.estimate?.();
  return told?.quota ? told.quota - told.usage : Infinity;
}
