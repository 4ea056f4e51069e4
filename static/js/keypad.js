// A number pad for readings. The field stays an ordinary field: a keyboard, paste and a screen
// reader work as before. Our own pad because the phone's decimal pad has no "/" for 1 1/16.
//
// <input type="text" data-keypad>            digits, ".", ",", "/", and
// <input type="text" data-keypad="count">    digits only

import { make } from "./dom.js";
import { markElement } from "./marks.js";

const ROWS = {
  measure: ["7", "8", "9", "erase", "4", "5", "6", "/", "1", "2", "3", "and", "0", ".", ",", "clear"],
  count: ["7", "8", "9", "erase", "4", "5", "6", "clear", "1", "2", "3", "0"],
};
const SHOWN = { clear: "Clear", and: " and " };
const WORDS = { erase: "Erase the last figure", clear: "Clear", "/": "over", and: "and, before a fraction", ".": "point", ",": "comma" };

function press(input, key) {
  const end = input.value.length;
  const from = input.selectionStart ?? end;
  const to = input.selectionEnd ?? end;
  if (key === "clear") input.value = "";
  else if (key === "erase") input.setRangeText("", from === to ? Math.max(from - 1, 0) : from, to, "end");
  else if (input.maxLength < 0 || end < input.maxLength) {
    input.setRangeText(key === "and" ? " " : key, from, to, "end");
  }
  input.dispatchEvent(new Event("input", { bubbles: true }));
  navigator.vibrate?.(8);
}

function keyButton(key) {
  const button = make("button", /\d/.test(key) ? "key" : "key aside", "", { type: "button" });
  button.dataset.key = key;
  button.tabIndex = -1; // the field itself takes the keyboard
  if (WORDS[key]) button.setAttribute("aria-label", WORDS[key]);
  if (key === "erase") button.append(markElement("erase"));
  else button.textContent = SHOWN[key] ?? key;
  return button;
}

function buildPad(kind) {
  const pad = make("div", "keypad");
  pad.setAttribute("role", "group");
  pad.setAttribute("aria-label", "Number pad");
  pad.append(...ROWS[kind].map(keyButton));
  return pad;
}

function wantsPad() {
  return matchMedia("(pointer: coarse)").matches || innerWidth <= 700;
}

// One pad a question. It stands under the reading that is being typed.
function enhance(inputs) {
  let active = inputs[0];
  const pads = new Map();
  const padFor = (input) => {
    const kind = input.dataset.keypad || "measure";
    if (!pads.has(kind)) {
      const pad = buildPad(kind);
      pad.addEventListener("pointerdown", (event) => event.preventDefault()); // the field keeps the focus
      pad.addEventListener("click", (event) => {
        const key = event.target.closest("[data-key]")?.dataset.key;
        if (key) press(active, key);
      });
      pads.set(kind, pad);
    }
    return pads.get(kind);
  };
  const place = (input) => {
    active = input;
    const pad = padFor(input);
    pad.dataset.writes = input.name;
    for (const other of pads.values()) other.hidden = other !== pad;
    const spot = input.closest("[data-question]")?.querySelector("[data-keypad-place]");
    if (spot && inputs.length === 1) spot.append(pad);
    else (input.closest(".reading") ?? input).after(pad);
    return pad;
  };
  for (const input of inputs) {
    input.inputMode = "none"; // or two pads would lie on top of each other
    input.addEventListener("focus", () => place(input).scrollIntoView({ block: "nearest" })); // whole, above the bars
  }
  place(active); // under the first, so that a figure is tapped at once; it comes to the one that is touched
}

function startKeypads() {
  const groups = new Map();
  for (const input of document.querySelectorAll("input[data-keypad]")) {
    const home = input.closest("[data-question]") ?? input;
    groups.set(home, [...(groups.get(home) ?? []), input]);
  }
  if (!wantsPad()) return;
  for (const inputs of groups.values()) enhance(inputs);
}

startKeypads();
