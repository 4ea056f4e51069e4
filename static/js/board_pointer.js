// A mark of the year board under the pointer: press, drag to another half-day, let go.
// It only tells board.js what happens; a short press stays a link.

const table = document.querySelector("[data-board]");
const FAR = 6; // pixels before a press is a drag
let pressed = null; // { mark, x, y, dragging }

const tell = (name, detail) => table.dispatchEvent(new CustomEvent(name, { detail }));

function cellUnder(event) {
  const under = document.elementFromPoint(event.clientX, event.clientY);
  return under && under.closest("[data-board] tbody td");
}

table.addEventListener("dragstart", (event) => event.preventDefault());

table.addEventListener("pointerdown", (event) => {
  const mark = event.target.closest("[data-tasks]");
  if (!mark || event.button !== 0 || event.pointerType === "touch") return;
  pressed = { mark, x: event.clientX, y: event.clientY, dragging: false, cell: null };
});

document.addEventListener("pointermove", (event) => {
  if (!pressed) return;
  if (!pressed.dragging) {
    if (Math.hypot(event.clientX - pressed.x, event.clientY - pressed.y) < FAR) return;
    pressed.dragging = true;
    tell("board-lift", { mark: pressed.mark });
  }
  const cell = cellUnder(event);
  if (!cell || cell === pressed.cell) return;
  pressed.cell = cell;
  tell("board-aim", { cell });
});

document.addEventListener("pointerup", (event) => {
  if (!pressed) return;
  const { dragging } = pressed;
  pressed = null;
  if (!dragging) return;
  // Let go over the link it began on, the browser makes a click of it; a drag is none.
  const noClick = (click) => { click.preventDefault(); click.stopPropagation(); };
  document.addEventListener("click", noClick, { capture: true, once: true });
  setTimeout(() => document.removeEventListener("click", noClick, { capture: true }), 0);
  tell(cellUnder(event) ? "board-drop" : "board-leave", {});
});

document.addEventListener("pointercancel", () => {
  if (pressed && pressed.dragging) tell("board-leave", {});
  pressed = null;
});

// While a task is being moved, a tap or a click on a half-day aims at it.
table.addEventListener("click", (event) => {
  const cell = event.target.closest("tbody td");
  if (!cell || !table.classList.contains("is-moving")) return;
  event.preventDefault();
  tell("board-aim", { cell });
});
