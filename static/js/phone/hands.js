// A phone in other hands, or in another language: the pages of before are not shown, what was saved
// stays.
// Whoever keeps pages waits for this first, or they would be put into a store that is thrown away.

import { fact, setFact } from "./store.js";

export const person = Number(document.body.dataset.person);

async function change() {
  const hands = person + document.documentElement.lang;
  const before = await fact("pages of");
  if (before === hands) return;
  if (before && Number.parseInt(before, 10) !== person) import("./no_push.js").catch(() => {});
  await caches.delete("loftbook-pages");
  await setFact("pages of", hands);
}

export const inTheseHands = person && "caches" in globalThis ? change() : Promise.resolve();
