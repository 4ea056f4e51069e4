// Send what this phone keeps. A message is forgotten only on a receipt that repeats its SHA-256;
// sending twice is harmless, because the server knows the id.

import { readAll, write } from "./store.js";
import { dropTwin } from "./twins.js";

const SEND_PATIENCE = 20000;
const PHOTO_PATIENCE = 120000;

export const waitingOf = async (person) =>
  (await readAll("outbox")).filter((entry) => entry.person === person).sort(stopsFirst);

const stopsFirst = (one, other) => (other.what === "stop") - (one.what === "stop") || one.number - other.number;

const LOCK = "loftbook-send";
let queued = false;

// What became of it: "sent", "waiting" (no signal), "signed out", or "nothing".
export async function sendAll() {
  if (!navigator.locks) return sendNow();
  const told = await navigator.locks.request(LOCK, { ifAvailable: true }, (lock) => (lock ? sendNow() : null));
  if (!told) sendAfter();
  return told ?? "waiting";
}

// What is under way does not know of what was put here since: it is sent as soon as that has ended.
async function sendAfter() {
  if (queued) return;
  queued = true;
  const begin = () => {
    queued = false; // what is put here from now on may come too late for this turn
    return sendNow();
  };
  await navigator.locks.request(LOCK, begin).catch(() => {
    queued = false;
  });
  document.dispatchEvent(new CustomEvent("outbox"));
}

async function sendNow() {
  const entries = (await readAll("outbox")).sort(stopsFirst);
  const photographs = await readAll("photographs");
  if (!entries.length && !photographs.some(({ trouble }) => !trouble)) return "nothing";
  const venues = new Set([...entries, ...photographs].map(({ venue }) => venue));
  let outcome = "sent";
  for (const venue of venues) {
    const session = await ask(`/v/${venue}/sync/session/`);
    if (session.status === 401) outcome = "signed out";
    if (session.status !== 200) {
      if (outcome === "sent") outcome = "waiting";
      continue;
    }
    const told = await sendVenue(venue, entries, session.said);
    if (told !== "sent") outcome = told;
  }
  return outcome;
}

function placeOf({ what, id, check }) {
  if (what === "signature") return `checks/${check}/signature`;
  return `${what === "stop" ? "stops" : "checks"}/${id}`;
}

async function sendVenue(venue, entries, { person, token }) {
  for (const entry of entries.filter((each) => each.venue === venue && each.person === person.id)) {
    const answer = await ask(`/v/${venue}/sync/${placeOf(entry)}/`, {
      method: "PUT",
      body: entry.body,
      headers: { "Content-Type": "application/json", "X-CSRFToken": token, "Phone-Clock": new Date().toISOString() },
    });
    if (answer.status === 401) return "signed out";
    if (!(await settle(entry, answer))) return "waiting";
  }
  return sendPhotographs(venue, person, token);
}

// True when the server has it, or has said that it never will take it from this person.
async function settle(entry, { status, said }) {
  const whole = status === 200 && said.stored && said.sha256 === entry.sha256;
  const aside = [409, 422].includes(status) && said.kept_aside;
  if (!whole && !aside) return status === 403 || status === 404 || status === 413 ? noted(entry, said) : false;
  const receipt = { ...entry, body: "", at: new Date().toISOString(), said, aside: Boolean(aside) };
  await write(["outbox", "receipts"], ({ outbox, receipts }) => {
    outbox.delete(entry.id);
    receipts.put(receipt);
  });
  await dropTwin(entry.id);
  return true;
}

// It stays here, with the reason beside it; the others go on.
async function noted(entry, said) {
  const trouble = said?.words ?? "The server does not take it.";
  await write(["outbox"], ({ outbox }) => outbox.put({ ...entry, trouble }));
  return true;
}

async function sendPhotographs(venue, person, token) {
  const receipts = new Set((await readAll("receipts")).map(({ id }) => id));
  const mine = (await readAll("photographs")).filter((each) => each.venue === venue && each.person === person.id);
  mine.sort((one, other) => (one.place ?? 0) - (other.place ?? 0));
  for (const photo of mine.filter(({ check, trouble }) => receipts.has(check) && !trouble)) {
    const [question, folder] = [encodeURIComponent(photo.question), photo.what ? `along/${photo.what}` : "photographs"];
    const answer = await ask(
      `/v/${venue}/sync/checks/${photo.check}/${folder}/${photo.sha256}/?question=${question}`,
      { method: "PUT", body: photo.blob, headers: { "Content-Type": photo.blob.type || "application/octet-stream", "X-CSRFToken": token } },
      PHOTO_PATIENCE,
    );
    if (answer.status === 401) return "signed out";
    if (![200, 403, 413, 422].includes(answer.status)) return "waiting";
    const { words } = answer.said;
    await write(["photographs"], ({ photographs }) => {
      if (answer.status === 200) photographs.delete([photo.check, photo.sha256]);
      else photographs.put({ ...photo, trouble: words });
    });
  }
  return "sent";
}

async function ask(address, options, patience = SEND_PATIENCE) {
  try {
    const signal = AbortSignal.timeout(patience);
    const answer = await fetch(address, { ...options, redirect: "error", signal });
    const json = answer.headers.get("Content-Type")?.includes("json");
    return { status: json ? answer.status : 0, said: json ? await answer.json() : {} };
  } catch {
    return { status: 0, said: {} };
  }
}
