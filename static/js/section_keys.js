// Arrow keys go through the drawing of the house; Tab goes into it once and past it. Without this
// every mark is reached by Tab.

const STEPS = { ArrowRight: 1, ArrowLeft: -1, Home: -Infinity, End: Infinity };
const LINES = { ArrowUp: -1, ArrowDown: 1 };

const middle = (link) => {
  const [x, y, width, height] = ["x", "y", "width", "height"].map((name) => Number(link.querySelector(".hit").getAttribute(name)));
  return { x: x + width / 2, y: y + height / 2, half: height / 2 };
};

// The nearest one of those above or below; of two lines the nearer, in it whatever is least aside.
function inLine(links, here, way) {
  const from = middle(here);
  const beyond = links.map((link) => ({ link, at: middle(link) })).filter(({ at }) => (at.y - from.y) * way > from.half);
  if (!beyond.length) return here;
  const first = Math.min(...beyond.map(({ at }) => Math.abs(at.y - from.y)));
  const line = beyond.filter(({ at }) => Math.abs(at.y - from.y) < first + from.half);
  return line.reduce((one, other) => (Math.abs(other.at.x - from.x) < Math.abs(one.at.x - from.x) ? other : one)).link;
}

// Listened to from outside: a drawing that listens for the focus would be one more stop of Tab.
for (const drawing of document.querySelectorAll("svg[data-keys]")) {
  const links = [...drawing.querySelectorAll("a")];
  const around = drawing.parentElement;
  const stop = (at) => links.forEach((link) => link.setAttribute("tabindex", link === at ? "0" : "-1"));
  stop(links[0]);
  around.addEventListener("focusin", ({ target }) => links.includes(target) && stop(target));
  around.addEventListener("keydown", (event) => {
    const place = links.indexOf(event.target);
    const { key, ctrlKey, metaKey, altKey, shiftKey } = event;
    if (place < 0 || !(key in STEPS || key in LINES) || ctrlKey || metaKey || altKey || shiftKey) return;
    event.preventDefault();
    const along = Math.max(0, Math.min(links.length - 1, place + STEPS[key]));
    (key in LINES ? inLine(links, links[place], LINES[key]) : links[along]).focus();
  });
  around.nextElementSibling.classList.add("works");
}
