// The search box answers as one types: a combobox with a list (WAI-ARIA). Without script it is a
// plain form. The server finds, groups and words everything; this shows it and moves in it.

const WAIT = 120;
const form = document.querySelector("form[data-find-now]");
if (form) start(form, form.querySelector("input"));

function start(form, field) {
  const list = Object.assign(document.createElement("div"), { id: "found", className: "found", hidden: true });
  const told = Object.assign(document.createElement("p"), { className: "unseen" });
  list.setAttribute("role", "listbox");
  list.setAttribute("aria-label", "What was found");
  told.setAttribute("role", "status");
  form.append(list, told);
  for (const [name, value] of [["role", "combobox"], ["aria-autocomplete", "list"], ["aria-controls", "found"]])
    field.setAttribute(name, value);
  let [timer, asking, at] = [0, null, null];
  const options = () => [...list.querySelectorAll("[role=option]")];

  function show(open) {
    list.hidden = !open;
    field.setAttribute("aria-expanded", open);
    go(null);
  }

  function go(option) {
    at?.setAttribute("aria-selected", "false");
    at = option;
    at?.setAttribute("aria-selected", "true");
    at?.scrollIntoView({ block: "nearest" });
    if (at) field.setAttribute("aria-activedescendant", at.id);
    else field.removeAttribute("aria-activedescendant");
  }

  async function ask() {
    asking?.abort();
    asking = new AbortController();
    const typed = field.value.trim();
    if (!typed) return show(false);
    try {
      const reply = await fetch(`${form.dataset.findNow}?${new URLSearchParams({ q: typed })}`, { signal: asking.signal });
      if (!reply.ok || reply.redirected) return show(false);
      const found = new DOMParser().parseFromString(await reply.text(), "text/html");
      list.replaceChildren(...found.body.childNodes);
    } catch {
      return undefined; // typed on, or no signal: Enter still asks for the page
    }
    const count = options().length;
    told.textContent = count ? `${count} found` : "Nothing found";
    return show(count > 0);
  }

  function move(by) {
    const all = options();
    if (list.hidden || !all.length) return ask();
    const next = at ? all.indexOf(at) + by : by > 0 ? 0 : all.length - 1;
    return go(all[next] ?? null); // past either end: back in the field
  }

  field.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(ask, WAIT);
  });
  field.addEventListener("keydown", (event) => {
    const by = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    if (by) move(by);
    else if (event.key === "Enter" && at) at.click();
    else if (event.key === "Escape" && !list.hidden) show(false);
    else return;
    event.preventDefault();
  });
  form.addEventListener("focusout", (event) => form.contains(event.relatedTarget) || show(false));
  list.addEventListener("mousedown", (event) => event.preventDefault());
  show(false);
}
