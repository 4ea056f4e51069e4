// A number pad for readings. The field stays an ordinary field: a keyboard, paste and a screen
// reader work as before. Our own pad because the phone's decimal pad has no "/" for 1 1/16.
//
// <input type="text" data-keypad>            digits, ".", ",", "/", and
// <input type="text" data-keypad="count">    digits only
// <input type="text" data-keypad="signed">   with a minus
// data-units="mm in" data-unit-name="…"      builds the two-button unit choice if the page has none

import { holding, make } from "./dom.js";
import { markElement } from "./marks.js";

const ROWS = {
  measure: ["7", "8", "9", "erase", "4", "5", "6", "/", "1", "2", "3", "and", "0", ".", ",", "clear"],
  signed: ["7", "8", "9", "erase", "4", "5", "6", "/", "1", "2", "3", "and", "0", ".", ",", "−"],
  count: ["7", "8", "9", "erase", "4", "5", "6", "clear", "1", "2", "3", "0"],
};
const SHOWN = { clear: "Clear", and: " and " };
const WORDS = { erase: "Erase the last figure", clear: "Clear", "/": "over", and: "and, before a fraction", ".": "point", ",": "comma", "−": "minus" };

function press(input, key) {
  const end = input.value.length;
  const from = input.selectionStart ?? end;
  const to = input.selectionEnd ?? end;
  if (key === "clear") input.value = "";
  else if (key === "erase") input.setRangeText("", from === to ? Math.max(from - 1, 0) : from, to, "end");
  else if (key === "−") input.value = input.value.startsWith("-") ? input.value.slice(1) : `-${input.value}`;
  else if (input.maxLength < 0 || end < input.maxLength) {
    input.setRangeText(key === "and" ? " " : key, from, to, "end");
  }
  input.dispatchEvent(new Event("input", { bubbles: true }));
  navigator.vibrate?.(8);
}

function keyButton(key, sprite) {
  const button = make("button", /\d/.test(key) ? "key" : "key aside", "", { type: "button" });
  button.dataset.key = key;
  button.tabIndex = -1; // the field itself takes the keyboard
  if (WORDS[key]) button.setAttribute("aria-label", WORDS[key]);
  if (key === "erase") button.append(markElement(sprite, "erase"));
  else button.textContent = SHOWN[key] ?? key;
  return button;
}

function buildPad(kind, sprite) {
  const pad = make("div", "keypad");
  pad.setAttribute("role", "group");
  pad.setAttribute("aria-label", "Number pad");
  pad.append(...(ROWS[kind] ?? ROWS.measure).map((key) => keyButton(key, sprite)));
  return pad;
}

function buildUnits(input) {
  const name = input.dataset.unitName;
  if (!input.dataset.units || !name || input.form?.elements.namedItem(name)) return;
  const box = holding(make("fieldset", "units"), make("legend", "", "Unit"));
  const units = input.dataset.units.split(" ");
  const words = (input.dataset.unitWords ?? input.dataset.units).split(" ");
  units.forEach((unit, place) => {
    const checked = unit === (input.dataset.unit ?? units[0]);
    const radio = make("input", "", "", { type: "radio", name, value: unit, checked });
    box.append(holding(make("label", "unit"), radio, make("span", "", words[place] ?? unit)));
  });
  input.after(box);
}

function wantsPad() {
  return matchMedia("(pointer: coarse)").matches || innerWidth <= 700;
}

// One pad a question. It stands under the reading that is being typed.
function enhance(inputs, sprite) {
  let active = inputs[0];
  const pads = new Map();
  const padFor = (input) => {
    const kind = input.dataset.keypad || "measure";
    if (!pads.has(kind)) {
      const pad = buildPad(kind, sprite);
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

function startKeypads(root = document, sprite = document.body.dataset.marks ?? "/static/img/marks.svg") {
  const groups = new Map();
  for (const input of root.querySelectorAll("input[data-keypad]")) {
    buildUnits(input);
    const home = input.closest("[data-question]") ?? input;
    groups.set(home, [...(groups.get(home) ?? []), input]);
  }
  if (!wantsPad()) return;
  for (const inputs of groups.values()) enhance(inputs, sprite);
}

startKeypads();
