// Send one answer as it is given and show the verdict that comes back. Nothing here decides
// anything: the server judges, and the whole form is sent again at the end in any case.

import { make } from "./dom.js";
import { STATE_NAMES } from "./judge/answers.js";
import { markElement } from "./marks.js";
import { signal } from "./phone/signals.js";

const ANSWER_PATIENCE = 8000;
const AGAIN_EVERY = 15000;
const STOPS = ["out-of-service", "retire"];
const WORDS = {
  offline: "Not sent yet. It stays on this page and is sent when the signal is back.",
  signedOut: "Not sent: you are signed out. Sign in on another page, then come back to this one.",
};

function answerOf(form, fieldset) {
  const names = new Set([...fieldset.elements].map((field) => field.name));
  const answer = new FormData();
  answer.append("question", fieldset.dataset.question);
  for (const field of form.elements) {
    if (field.type === "hidden" && !field.closest("[data-question]")) answer.append(field.name, field.value);
  }
  for (const [name, value] of new FormData(form)) {
    const emptyFile = value instanceof File && value.size === 0;
    if (names.has(name) && !emptyFile && !photoSent(fieldset, name)) answer.append(name, value);
  }
  return answer;
}

function photoSent(fieldset, name) {
  return [...fieldset.elements].some((field) => field.name === name && field.type === "file" && field.dataset.sent);
}

async function post(form, fieldset) {
  const token = form.querySelector("[name=csrfmiddlewaretoken]")?.value ?? "";
  const reply = await fetch(fieldset.dataset.answerUrl, {
    method: "POST",
    body: answerOf(form, fieldset),
    headers: { "X-CSRFToken": token, Accept: "application/json" },
    signal: AbortSignal.timeout(ANSWER_PATIENCE + ([...fieldset.elements].some((f) => f.files?.length) ? 60000 : 0)),
  });
  if (reply.redirected || reply.status === 401 || reply.status === 403) return { failed: WORDS.signedOut };
  if (!reply.headers.get("Content-Type")?.includes("json")) return { failed: WORDS.offline };
  const verdict = await reply.json();
  return reply.ok || verdict.words ? verdict : { failed: WORDS.offline };
}

function sentence(verdict) {
  const state = verdict.state ?? "";
  const words = verdict.words ?? "";
  const name = STATE_NAMES[state];
  return !name || words.startsWith(name) ? ["", words] : [`${name}. `, words];
}

export function showVerdict(fieldset, verdict) {
  const place = fieldset.querySelector("[data-verdict]");
  if (!place) return;
  const faulty = Object.keys(verdict.faults ?? {}).length > 0;
  const key = faulty ? "not-read" : (verdict.state ?? "").replaceAll(/[ _]/g, "-");
  if (STOPS.includes(key) && !STOPS.includes(place.dataset.state)) signal("bad");
  if (key) place.dataset.state = key;
  else delete place.dataset.state;
  const [state, words] = sentence(verdict);
  const name = verdict.mark ?? (verdict.state ? key : "");
  place.replaceChildren(...(name ? [markElement(name), " "] : []), make("strong", "", state), words, ...(verdict.before ? [" ", make("small", "", verdict.before)] : []));
  markFaults(fieldset, verdict);
}

// The faulty fields by their short names, and the box "it really is so" of a far-off reading.
function markFaults(fieldset, verdict) {
  const faults = verdict.faults ?? {};
  for (const field of fieldset.elements) {
    if (field.name && faults[field.name.split(":").pop()]) field.setAttribute("aria-invalid", "true");
    else field.removeAttribute("aria-invalid");
  }
  const asked = verdict.asked_again ?? faults;
  for (const box of fieldset.querySelectorAll("[data-ask-again]")) {
    box.hidden = !asked[box.dataset.askAgain] && !box.querySelector("input:checked");
  }
}

export function createSending(form, { changed }) {
  const notes = new WeakMap();
  const note = (fieldset) => {
    if (!notes.has(fieldset)) notes.set(fieldset, { given: 0, sent: 0, running: null, verdict: null });
    return notes.get(fieldset);
  };

  async function sendUntilCurrent(fieldset, mine) {
    while (mine.sent !== mine.given) {
      const version = mine.given;
      const verdict = await post(form, fieldset).catch(() => ({ failed: WORDS.offline }));
      if (verdict.failed) {
        showVerdict(fieldset, { words: verdict.failed });
        return;
      }
      mine.sent = version;
      mine.verdict = verdict;
      for (const field of fieldset.querySelectorAll("input[type=file]")) {
        if (field.files.length && version === mine.given) field.dataset.sent = "yes";
      }
      // An answer given meanwhile makes this verdict old: it is not shown.
      if (version === mine.given) take(fieldset, verdict);
    }
  }

  function take(fieldset, verdict) {
    if (verdict.complete === false) fieldset.dataset.refused = "";
    else delete fieldset.dataset.refused;
    verdict.shownAt = performance.now();
    showVerdict(fieldset, verdict);
  }

  function send(fieldset) {
    const mine = note(fieldset);
    if (!fieldset.dataset.answerUrl) mine.sent = mine.given;
    mine.running ??= sendUntilCurrent(fieldset, mine).finally(() => {
      mine.running = null;
      changed();
    });
    return mine.running;
  }

  const questions = () => [...form.querySelectorAll("[data-question]")];
  const unsent = () => questions().filter((fieldset) => note(fieldset).sent !== note(fieldset).given);

  function sendRest() {
    if (document.visibilityState === "visible") for (const fieldset of unsent()) send(fieldset);
  }
  addEventListener("online", sendRest);
  document.addEventListener("visibilitychange", sendRest);
  setInterval(sendRest, AGAIN_EVERY);

  return {
    send,
    unsent,
    verdictOf: (fieldset) => note(fieldset).verdict,
    isCurrent: (fieldset) => note(fieldset).sent === note(fieldset).given,
    touch(fieldset) {
      note(fieldset).given += 1;
      delete fieldset.dataset.refused;
      const place = fieldset.querySelector("[data-verdict]");
      if (place?.textContent) showVerdict(fieldset, { words: "…" }); // an old verdict must not stand beside a new figure
    },
  };
}
