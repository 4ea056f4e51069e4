// The round of the day is taken along: its pages are kept on this phone while there is signal,
// and the list says what is ready to go down with and what still waits to be sent.

import { make } from "../dom.js";
import { inTheseHands, person } from "./hands.js";
import { leftOver } from "./left_over.js";
import { clearOldReceipts } from "./old_receipts.js";
import { roomLeft, fact, readAll, setFact, write } from "./store.js";
import { sendAll, waitingOf } from "./outbox.js";
import { hasSigned, offerSigning, signPage, signedHere } from "./signing.js";

const LITTLE_ROOM = 20_000_000;
const AT_ONCE = 4;
const SIGN_WITHIN = 3 * 24 * 3600 * 1000;
const { venue } = document.body.dataset;
const told = document.querySelector("[data-round-kept]"); // its page brings what it says
const list = document.querySelector("[data-outbox-list]");
let shown = "";
let [asked, answered] = [0, 0]; // how often the list was asked for, and which of them it shows

async function takeAlong() {
  const asked = new Date().toISOString();
  const answer = await fetch(`/v/${venue}/sync/round/`, { redirect: "error" });
  if (!answer.ok) throw new Error("signed out");
  const round = await answer.json();
  await inTheseHands;
  const pages = await caches.open("loftbook-pages");
  let kept = 0;
  const left = [...round.pages];
  const keepNext = async () => {
    for (let page = left.shift(); page; page = left.shift()) {
      const fresh = await fetch(page, { redirect: "error", cache: "no-store" });
      if (!fresh.ok) continue;
      await pages.put(page, fresh);
      kept += 1;
      told.textContent = `Taking the round along: ${kept} of ${round.pages.length} pages.`;
    }
  };
  await Promise.all(Array.from({ length: AT_ONCE }, keepNext));
  await forgetOthers(pages, round.pages);
  if (kept === round.pages.length) await forgetOlderFiles(round.release);
  await setFact(`round:${venue}`, { asked, served_at: round.served_at, tasks: round.tasks, kept });
  await liftReturned(round.tasks);
  await clearOldReceipts();
  await showOutbox();
  return kept === round.pages.length;
}

// The files of earlier releases go only when this round is whole and its own files are here.
async function forgetOlderFiles(release) {
  const [mine, all] = [`loftbook-shell-${release}`, await caches.keys()];
  if (!all.includes(mine)) return;
  for (const name of all) if (name.startsWith("loftbook-shell-") && name !== mine) await caches.delete(name);
}

async function forgetOthers(pages, wanted) {
  for (const request of await pages.keys()) {
    const { pathname } = new URL(request.url);
    if (pathname.startsWith(`/v/${venue}/`) && !wanted.includes(pathname)) await pages.delete(request);
  }
}

// What was pressed on this phone is shown until the server knew of it and says otherwise.
async function liftReturned(tasks) {
  const receipts = new Set((await readAll("receipts")).map(({ id }) => id));
  for (const { equipment, state } of tasks) {
    const own = await fact(`out:${equipment}`);
    if (own && receipts.has(own.id) && state !== "out of service") {
      await write(["facts"], ({ facts }) => facts.delete(`out:${equipment}`));
    }
  }
}

function item(words, state) {
  const line = make("li", "", words);
  line.dataset.state = state;
  return line;
}

// Told anew every quarter of a minute: what is opened or half tapped stays while nothing is new.
function showIfOther(lines) {
  const words = lines.map(({ textContent }) => textContent).join("\n");
  if (words === shown) return;
  shown = words;
  list.replaceChildren(...lines);
  list.closest("section").hidden = lines.length === 0;
}

async function showOutbox() {
  if (!list) return;
  const turn = (asked += 1);
  const waiting = await waitingOf(person);
  const receipts = await readAll("receipts");
  const mine = receipts.filter((each) => each.person === person && (each.aside || each.said.words?.length));
  const here = await signedHere(receipts);
  const lines = await Promise.all(waiting.map((each) => waitingItem(each, here)));
  const flagged = mine.slice(-5).map(({ tag, title, said, aside }) =>
    item(`${tag}: ${title}. ${aside ? `Kept aside by the server: ${said.words}` : said.words.join(" ")}`, "told"),
  );
  const left = await leftOver(person, venue, receipts, showOutbox);
  const sent = await unsigned(here, receipts);
  if (turn < answered) return; // what was asked later is shown already
  answered = turn;
  showIfOther([...lines, ...flagged, ...left, ...sent]);
}

async function waitingItem(entry, here) {
  const line = item(`${entry.tag}: ${entry.title}. ${entry.trouble ?? "Not sent yet."}`, "waiting");
  if (entry.what === "check" && !(await hasSigned(entry, here))) line.append(offerSigning(entry, entry.passkeys, sendAll, true));
  return line;
}

// The last five checks of these days that were sent and that nobody signed.
async function unsigned(here, receipts) {
  const since = new Date(Date.now() - SIGN_WITHIN).toISOString();
  const sent = receipts.filter((each) => each.what === "check" && each.person === person && each.venue === venue);
  const found = [];
  for (const entry of sent.filter(({ aside, saved_at }) => !aside && saved_at > since).reverse()) {
    if (await hasSigned(entry, here)) continue;
    const line = item(`${entry.tag}: ${entry.title}. Nobody has signed it yet. `, "told");
    line.append(make("a", "", "Sign it", { href: signPage(entry) }));
    if (found.unshift(line) === 5) break;
  }
  return found;
}

async function begin() {
  await showOutbox();
  if ((await roomLeft()) < LITTLE_ROOM) {
    told.textContent = told.dataset.full;
    return;
  }
  try {
    told.textContent = (await takeAlong()) ? told.dataset.whole : told.dataset.part;
  } catch {
    const kept = await fact(`round:${venue}`);
    const when = kept && new Date(kept.served_at).toLocaleString([], { dateStyle: "medium", timeStyle: "short" });
    told.textContent = kept ? `No signal: this is the round as it was fetched on ${when}.` : told.dataset.none;
  }
}

if (told && person && "caches" in window) {
  document.addEventListener("outbox-told", showOutbox);
  begin();
}
