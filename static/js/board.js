// The year board under keys and pointer. Without it the list below the board does the same.
import { boardButton, boardList, boardPart, buttonRow, dayWords, sendFor, shifted } from "./board_parts.js";

const table = document.querySelector("[data-board]");
const panel = document.querySelector("[data-board-panel]");
const facts = JSON.parse(document.querySelector("#board-facts").textContent);
const mayMove = "mayMove" in panel.dataset;
const usual = panel.querySelector("[data-board-words]").textContent;
const byWeek = table.dataset.zoom === "year";
const days = [...table.querySelectorAll("thead [data-day]")].map((head) => head.dataset.day);
const lines = [...table.querySelectorAll("tbody tr")].map((line) => [...line.querySelectorAll("td")]);
const ASK_AFTER = 150; // milliseconds of standing still

let here = null; // the cell that the keys stand on
let moving = null; // { task, line, column, half, asked, answer }
let asking;

const tasksIn = (cell) => [...cell.querySelectorAll("[data-tasks]")].flatMap((mark) => mark.dataset.tasks.trim().split(" "));

function spotOf(cell) {
  const line = lines.findIndex((cells) => cells.includes(cell));
  return line < 0 ? null : { line, column: lines[line].indexOf(cell) };
}

const cellAt = ({ line, column }) => lines[line] && lines[line][column];
const halfOf = (line) => lines[line][0].parentElement.dataset.half;
const rowOf = (line) => lines[line][0].closest("tbody");

function holdWords(spot) {
  const half = halfOf(spot.line);
  const house = table.querySelector(half ? `.board-house[data-half="${half}"]` : ".board-house");
  const cell = house.querySelectorAll("td")[spot.column];
  if (byWeek) return `the house is held on ${cell.firstChild.textContent} of 14 half-days`;
  return (cell.querySelector(".unseen") || cell).textContent.trim() || "nothing booked";
}

function tell(parts, mood = "") {
  delete panel.dataset.rest;
  panel.className = `board-panel ${mood}`;
  panel.replaceChildren(...parts);
}

function taskLine(task) {
  const item = boardPart("li", "");
  const link = boardPart("a", facts[task].title, { href: facts[task].page });
  item.append(link, facts[task].said ? `, ${facts[task].said}` : "");
  if (mayMove) item.append(boardButton("Move", () => begin(task, here)));
  if (facts[task].lock) item.append(boardButton(facts[task].lock === "yes" ? "Lock" : "Unlock", () => lock(task), "board-lock"));
  return item;
}

function tellCell(spot) {
  const tasks = tasksIn(cellAt(spot)).filter((task) => facts[task]);
  const when = byWeek ? `week of ${dayWords(days[spot.column])}` : dayWords(days[spot.column], halfOf(spot.line));
  const head = boardPart("p", `${rowOf(spot.line).querySelector("th").firstChild.textContent.trim()}, ${when}: ${holdWords(spot)}.`);
  if (!tasks.length) return tell([head, boardPart("p", "No task here.", { className: "quiet-words" })]);
  return tell([head, boardList(tasks.map(taskLine))]);
}

function stand(spot, focus = true) {
  const cell = cellAt(spot);
  if (!cell) return;
  cellAt(here).tabIndex = -1;
  here = spot;
  cell.tabIndex = 0;
  if (focus) cell.focus();
  cell.scrollIntoView({ block: "nearest", inline: "nearest" });
}

const STEPS = { ArrowLeft: [0, -1], ArrowRight: [0, 1], ArrowUp: [-1, 0], ArrowDown: [1, 0] };

function walk(key) {
  const [down, right] = STEPS[key] || [0, key === "Home" ? -here.column : days.length - 1 - here.column];
  stand({ line: here.line + down, column: here.column + right });
}

function open(cell) {
  const tasks = tasksIn(cell);
  if (tasks.length === 1) window.location = facts[tasks[0]].page;
  else if (tasks.length) panel.querySelector("a").focus();
}

function lift(cell) {
  const tasks = tasksIn(cell);
  if (!mayMove) tell([boardPart("p", usual)]);
  else if (tasks.length === 1) begin(tasks[0], here);
  else if (tasks.length) panel.querySelector("button").focus();
}

// L: the one task here that may be locked, or the choice between several.
function lockHere(cell) {
  const tasks = tasksIn(cell).filter((task) => facts[task] && facts[task].lock);
  if (tasks.length === 1) lock(tasks[0]);
  else if (tasks.length) panel.querySelector(".board-lock").focus();
}

function lock(task) {
  sendFor(task, document.querySelector("[data-board-lock]"), `${facts[task].page}lock/`, { locked: facts[task].lock });
}

function begin(task, spot) {
  moving = { task, from: spot, ...spot, half: facts[task].half };
  table.classList.add("is-moving");
  cellAt(spot).classList.add("is-left");
  stand(spot);
  aim(spot);
}

function targetDay() {
  return byWeek ? shifted(facts[moving.task].day, 7 * (moving.column - moving.from.column)) : days[moving.column];
}

function aim(spot) {
  const cell = cellAt(spot);
  if (!cell) return;
  table.querySelectorAll(".is-target").forEach((each) => each.classList.remove("is-target"));
  cell.classList.add("is-target");
  cell.scrollIntoView({ block: "nearest", inline: "nearest" });
  Object.assign(moving, spot, { half: halfOf(spot.line) || facts[moving.task].half, answer: null, dropped: false });
  const same = spot.column === moving.from.column && spot.line === moving.from.line;
  const words = `${facts[moving.task].title}: ${dayWords(targetDay(), moving.half)}.`;
  clearTimeout(asking);
  if (same) {
    tell([boardPart("p", `${words} It is there now. Choose a half-day with the arrow keys or the pointer; Enter drops it, Escape leaves it.`), buttonRow(boardButton("Leave it", leave))]);
  } else {
    tell([boardPart("p", `${words} Asking what that would do.`), buttonRow(boardButton("Leave it", leave))]);
    asking = setTimeout(ask, ASK_AFTER, moving);
  }
}

async function ask(asked) {
  const { task, line, column, half } = asked;
  const question = new URLSearchParams({ day: targetDay(), half });
  let answer;
  try {
    const told = await fetch(`${facts[task].page}check/?${question}`, { headers: { Accept: "application/json" } });
    answer = await told.json();
  } catch {
    answer = { words: ["The server could not be asked. Nothing was moved."], refused: true };
  }
  if (moving !== asked || moving.line !== line || moving.column !== column) return;
  moving.answer = answer;
  const buttons = answer.refused ? [] : [boardButton(answer.late ? "Move it there and be late" : answer.worse ? "Move it there all the same" : "Move it there", drop, "main")];
  const head = boardPart("p", `${facts[task].title}: ${dayWords(targetDay(), half)}.`);
  tell([head, boardList(answer.words.map((words) => boardPart("li", words))), buttonRow(...buttons, boardButton("Leave it", leave))], answer.refused ? "is-refused" : answer.worse ? "is-worse" : "");
  if (moving.dropped) settle();
}

// What makes nothing worse is dropped at once; anything else is confirmed under its words.
function settle() {
  if (moving.line === moving.from.line && moving.column === moving.from.column) return leave();
  moving.dropped = true;
  if (!moving.answer) return null;
  return moving.answer.worse || moving.answer.refused ? panel.querySelector("button").focus() : drop();
}

function drop() {
  const { late, over } = moving.answer;
  const sent = { day: targetDay(), half: moving.half, late_is_meant: late ? "yes" : "", over_budget_is_meant: over ? "yes" : "" };
  sendFor(moving.task, document.querySelector("[data-board-move]"), `${facts[moving.task].page}move/`, sent);
}

function leave() {
  const { from } = moving;
  clearTimeout(asking);
  moving = null;
  table.classList.remove("is-moving");
  table.querySelectorAll(".is-target, .is-left").forEach((each) => each.classList.remove("is-target", "is-left"));
  stand(from);
  tellCell(from);
}

function aimBy(key) {
  const [down, right] = STEPS[key];
  const line = moving.line + down;
  const inRow = lines[line] && rowOf(line) === rowOf(moving.line);
  aim({ line: inRow ? line : moving.line, column: moving.column + right });
}

const MOVING = { Enter: settle, Escape: leave };
const RESTING = { Enter: () => open(cellAt(here)), m: () => lift(cellAt(here)), M: () => lift(cellAt(here)), l: () => lockHere(cellAt(here)), L: () => lockHere(cellAt(here)) };

table.addEventListener("keydown", (event) => {
  if (event.altKey || event.ctrlKey || event.metaKey) return;
  const deed = (moving ? MOVING : RESTING)[event.key];
  if (!deed && !STEPS[event.key] && (moving || !["Home", "End"].includes(event.key))) return;
  event.preventDefault();
  if (deed) deed();
  else if (moving) aimBy(event.key);
  else walk(event.key);
});
panel.addEventListener("keydown", (event) => {
  if (event.key === "Escape" && moving) leave();
  else if (event.key === "Escape" && here) cellAt(here).focus();
});
table.addEventListener("focusin", (event) => {
  const spot = event.target.closest("td") && spotOf(event.target.closest("td"));
  if (!spot || moving) return;
  stand(spot, false);
  tellCell(spot);
});

// -- what board_pointer.js tells ------------------------------------------------------------------
table.addEventListener("board-lift", ({ detail }) => {
  const task = detail.mark.dataset.tasks.trim();
  if (mayMove && !moving && facts[task]) begin(task, spotOf(detail.mark.closest("td")));
});
table.addEventListener("board-aim", ({ detail }) => moving && spotOf(detail.cell) && aim(inItsRow(spotOf(detail.cell))));
table.addEventListener("board-drop", () => moving && settle());
table.addEventListener("board-leave", () => moving && leave());

// A task stays in its row: of the cell under the pointer only the day and the half count.
function inItsRow(spot) {
  const row = rowOf(moving.from.line);
  const line = lines.findIndex((_, each) => rowOf(each) === row && halfOf(each) === halfOf(spot.line));
  return { line, column: spot.column };
}

if (lines.length) {
  table.setAttribute("role", "grid");
  table.querySelectorAll("tbody td").forEach((cell) => { cell.tabIndex = -1; });
  table.querySelectorAll("tbody a").forEach((link) => { link.tabIndex = -1; });
  const moved = window.location.hash.match(/^#at-(\d+)$/);
  const first = (moved && [...table.querySelectorAll("td")].find((cell) => tasksIn(cell).includes(moved[1])))
    || table.querySelector("td:has([data-tasks])") || lines[0][0];
  here = spotOf(first);
  first.tabIndex = 0;
  if (moved) stand(here);
}
