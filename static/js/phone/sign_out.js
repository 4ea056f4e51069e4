// Signing out takes the kept pages along: they hold a house's business, and the phone may be put
// down anywhere. What was begun or saved stays, in its own person's name.

import { spoken } from "../dom.js";

const form = document.querySelector("form[data-sign-out]");

async function signOut(told) {
  const answer = await fetch(form.action, { method: "POST", body: new FormData(form) }).catch(() => null);
  if (!answer?.ok) {
    told.textContent = "You are not signed out: there is no signal, or the server is in trouble. Nothing was taken away.";
    return;
  }
  await caches.delete("loftbook-pages");
  await import("./no_push.js").catch(() => {});
  location.assign(answer.url);
}

if (form && "caches" in globalThis) {
  const told = spoken("open-words", "", "alert");
  form.append(told);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    signOut(told);
  });
}
