// Ways to a thing from the round: its tag typed, or its code read by the camera. Both work without
// signal for what is kept on this phone.

import { scanTag } from "./scan.js";

const { venue } = document.body.dataset;
const form = document.querySelector("[data-ways-in]");
const cards = [...document.querySelectorAll("[data-find]")];
const plain = (words) => words.trim().toLowerCase();

function show(wanted) {
  const found = cards.filter((card) => (card.hidden = !plain(card.dataset.find).includes(wanted)) === false);
  const told = form.querySelector("[role=status]");
  if (!wanted) told.textContent = "";
  else if (found.length) told.textContent = `${found.length} of ${cards.length} shown.`;
  else told.textContent = told.dataset.nothing;
  return found;
}

const tagPage = (tag) => `/v/${venue}/t/${encodeURIComponent(tag)}/`;

// The tag itself opens its thing; a word that leaves one thing opens that one.
function wantedPage(words) {
  const exact = cards.find(({ dataset }) => plain(dataset.tag) === plain(words));
  const left = new Set(show(plain(words)).map(({ dataset }) => dataset.tag));
  if (exact) return tagPage(exact.dataset.tag);
  return left.size === 1 ? tagPage([...left][0]) : "";
}

function begin() {
  const field = form.querySelector("input");
  field.addEventListener("input", () => show(plain(field.value)));
  form.addEventListener("submit", (event) => {
    const page = wantedPage(field.value);
    if (!page && field.value.trim() && !show(plain(field.value)).length) return; // the house's own list
    event.preventDefault();
    if (page) location.assign(page);
  });
  show(plain(field.value));
  const scan = form.querySelector("[data-scan]");
  if (!navigator.mediaDevices) return;
  scan.hidden = false;
  scan.addEventListener("click", () => scanTag(venue));
}

if (form) begin();
