// What the year board says and sends, apart from where its keys stand.

const HALVES = { am: ", morning", pm: ", afternoon" };

export const shifted = (day, by) => new Date(Date.parse(day) + by * 86400000).toISOString().slice(0, 10);

export function dayWords(day, half) {
  const said = { weekday: "long", day: "numeric", month: "long", year: "numeric", timeZone: "UTC" };
  return `${new Date(day).toLocaleDateString(document.documentElement.lang, said)}${half ? HALVES[half] : ""}`;
}

export function boardPart(name, text, more = {}) {
  return Object.assign(document.createElement(name), { textContent: text }, more);
}

export function boardButton(text, deed, look = "") {
  const one = boardPart("button", text, { type: "button", className: `button ${look}` });
  one.addEventListener("click", deed);
  return one;
}

export function buttonRow(...buttons) {
  const div = boardPart("div", "", { className: "button-row" });
  div.append(...buttons);
  return div;
}

export function boardList(items) {
  const list = boardPart("ul", "");
  list.append(...items);
  return list;
}

// A form of the board for one task; it comes back to the board, with the keys on that task.
export function sendFor(task, form, action, values) {
  form.action = action;
  for (const [name, value] of Object.entries(values)) form.elements[name].value = value;
  form.elements.back.value = `${window.location.pathname}${window.location.search}#at-${task}`;
  form.submit();
}
