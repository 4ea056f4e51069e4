// Arrow keys go from row to row of a long table. Without this the same links are reached by Tab.

const STEPS = { ArrowDown: 1, ArrowUp: -1, PageDown: 20, PageUp: -20, Home: -Infinity, End: Infinity };

for (const table of document.querySelectorAll("table[data-rows]")) {
  const links = [...table.querySelectorAll("tbody th a")];
  table.addEventListener("keydown", (event) => {
    const row = event.target.closest("tbody tr");
    const here = links.indexOf(row?.querySelector("th a"));
    const step = STEPS[event.key];
    if (here < 0 || !step || event.ctrlKey || event.metaKey || event.altKey || event.shiftKey) return;
    event.preventDefault();
    links[Math.max(0, Math.min(links.length - 1, here + step))].focus();
  });
  if (links.length) table.parentElement.nextElementSibling.classList.add("works");
}
