// A second copy of every saved message in another store of the browser, until its receipt.
// A browser killed in mid-write was once seen to come back with an empty database.

import { read, write } from "./store.js";

const CACHE = "loftbook-twins";
const address = (id) => `/twins/${id}`;

export async function keepTwin(entry) {
  const cache = await caches.open(CACHE);
  await cache.put(address(entry.id), new Response(JSON.stringify(entry)));
}

export async function dropTwin(id) {
  const cache = await caches.open(CACHE);
  await cache.delete(address(id));
}

// Twins whose first copy and receipt are both gone come back to be sent.
export async function restoreTwins() {
  const cache = await caches.open(CACHE);
  let restored = 0;
  for (const request of await cache.keys()) {
    const entry = await (await cache.match(request)).json();
    const known = (await read("outbox", entry.id)) ?? (await read("receipts", entry.id));
    if (known) continue;
    await write(["outbox"], ({ outbox }) => outbox.put(entry));
    restored += 1;
  }
  return restored;
}
