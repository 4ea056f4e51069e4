// The answer while typing: asks for the page that the form would lead to, and takes over its answer,
// its words beside each field and its address. Without script the form does the same by a press.

const PAUSE = 350;
const form = document.querySelector("[data-calculator]");
const answer = document.getElementById("answer");
const late = document.getElementById("answer-late");
let timer = 0;
let asking = null;

function address() {
  const url = new URL(window.location.href);
  url.search = new URLSearchParams(new FormData(form)).toString();
  url.hash = "";
  return url;
}

function takeOver(page) {
  for (const part of document.querySelectorAll("[data-live]")) {
    const fresh = page.getElementById(part.id);
    if (!fresh) throw new Error(part.id);
    part.replaceChildren(...document.importNode(fresh, true).childNodes);
  }
  for (const field of form.querySelectorAll("[data-live-class]")) {
    const fresh = page.getElementById(field.id);
    field.className = fresh.className;
    const faulty = fresh.classList.contains("faulty");
    for (const box of field.querySelectorAll("input, textarea")) box.toggleAttribute("aria-invalid", faulty);
    for (const box of field.querySelectorAll("[aria-invalid]")) box.setAttribute("aria-invalid", "true");
  }
}

async function ask() {
  asking?.abort();
  const mine = new AbortController();
  asking = mine;
  const url = address();
  try {
    const got = await fetch(url, { signal: mine.signal, headers: { Accept: "text/html" } });
    if (!got.ok || got.redirected) throw new Error(String(got.status));
    const text = await got.text();
    if (asking !== mine) return;
    takeOver(new DOMParser().parseFromString(text, "text/html"));
    window.history.replaceState(null, "", url);
    late.hidden = true;
    answer.removeAttribute("aria-busy");
  } catch (fault) {
    // The answer stays dimmed: it does not belong to what is typed.
    if (fault.name !== "AbortError") late.hidden = false;
  }
}

form.addEventListener("input", () => {
  answer.setAttribute("aria-busy", "true");
  // What is dimmed cannot be kept: it does not belong to what is typed.
  for (const button of answer.querySelectorAll("button")) button.disabled = true;
  window.clearTimeout(timer);
  timer = window.setTimeout(ask, PAUSE);
});
