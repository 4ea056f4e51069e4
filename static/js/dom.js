// The few pieces that pages are built of on the phone.

export const make = (name, className = "", textContent = "", more = {}) =>
  Object.assign(document.createElement(name), { className, textContent, ...more });

export function button(words, tapped, className = "button") {
  const made = make("button", className, words, { type: "button" });
  made.addEventListener("click", tapped);
  return made;
}

// A line that a screen reader says aloud when its words change.
export function spoken(className = "", textContent = "", role = "status") {
  const line = make("p", className, textContent);
  line.setAttribute("role", role);
  return line;
}

export const row = (...inside) => holding(make("div", "button-row"), ...inside);

export function holding(box, ...inside) {
  box.append(...inside);
  return box;
}

export function overPage(className, ...inside) {
  const dialog = holding(make("dialog", className), ...inside);
  dialog.addEventListener("close", () => dialog.remove());
  document.body.append(dialog);
  return dialog;
}
