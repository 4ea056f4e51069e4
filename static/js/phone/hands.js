// A phone in other hands: the pages of the one before are not shown, what they saved stays theirs.
// Whoever keeps pages waits for this first, or they would be put into a store that is thrown away.

import { fact, setFact } from "./store.js";

export const person = Number(document.body.dataset.person);

async function change() {
  if ((await fact("pages of")) === person) return;
  await caches.delete("loftbook-pages");
  await setFact("pages of", person);
}

export const inTheseHands = person && "caches" in globalThis ? change() : Promise.resolve();
