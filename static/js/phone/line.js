// On every page of a person: send what this phone keeps, say what is still here, and let an order
// "out of service" bite on this phone before anybody else can know.

import { holding, make } from "../dom.js";
import { markElement } from "../marks.js";
import { inTheseHands, person } from "./hands.js";
import { sendAll, waitingOf } from "./outbox.js";
import { fact } from "./store.js";
import { offerStop } from "./stop.js";
import { restoreTwins } from "./twins.js";

const AGAIN_EVERY = 15000;
const SHOWN_WITHIN = 2000;
const { venue } = document.body.dataset;

async function registerWorker() {
  if (!("serviceWorker" in navigator)) return;
  await navigator.serviceWorker.register("/sw.js").catch(() => {});
  navigator.serviceWorker.addEventListener("message", ({ data }) => data === "send" && send());
}

let words = "";

async function send() {
  const outcome = await sendAll().catch(() => "waiting");
  words = outcome === "signed out" ? "Sign in to send them." : "";
  await tell();
}

async function tell() {
  const waiting = (await waitingOf(person)).length;
  const badge = document.querySelector("[data-outbox]");
  if (badge) {
    badge.hidden = waiting === 0;
    badge.textContent = `${waiting} not sent yet. ${words}`.trim();
  }
  document.dispatchEvent(new CustomEvent("outbox-told"));
  await showOwnStops();
}

// What was taken out of service on this phone, on every page of that thing.
async function showOwnStops() {
  const { equipment } = document.body.dataset;
  if (!equipment) return;
  const stop = await fact(`out:${equipment}`);
  if (!stop) return;
  document.body.dataset.out = "";
  if (document.querySelector(".banner-out")) return;
  const lines = ["Out of service", "Do not use it, and let nobody else use it.", stop.why, `Pressed on this phone, ${new Date(stop.at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" })}.`];
  const inside = holding(make("div"), ...lines.map((line, place) => make(place ? "p" : "h2", "", line)));
  const banner = holding(make("section", "banner-out"), markElement("out-of-service"), inside);
  document.getElementById("content").prepend(banner);
}

// Without signal a check begins on its kept page; with signal too, so that there is one way.
function openKeptChecks() {
  for (const form of document.querySelectorAll("form[data-kept-page]")) {
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      const kept = await caches.match(form.dataset.keptPage).catch(() => null);
      if (kept) location.assign(form.dataset.keptPage);
      else form.submit();
    });
  }
}

// A kept check shows its question first; what is to be sent waits for that, and not for long.
function questionShown() {
  const form = document.querySelector("form[data-kept]");
  if (!form) return null;
  return new Promise((done) => {
    form.addEventListener("shown", done, { once: true });
    setTimeout(done, SHOWN_WITHIN);
  });
}

async function begin() {
  const shown = questionShown();
  showOwnStops().catch(() => {});
  await shown;
  registerWorker();
  await inTheseHands;
  await restoreTwins();
  await tell();
  await send();
}

if (person && "indexedDB" in window && "caches" in window) {
  openKeptChecks();
  begin().catch(() => {});
  addEventListener("online", send);
  document.addEventListener("outbox", tell);
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && send());
  setInterval(() => document.visibilityState === "visible" && send(), AGAIN_EVERY);
  offerStop({ person, venue, changed: tell });
}

