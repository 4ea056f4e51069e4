// A file may be dropped on a page that asks for one: on its field, or anywhere where there is but one
// field. It is then chosen, as by the field's own button; nothing is sent before that is asked for.

const fields = [...document.querySelectorAll("main input[type=file]")];
const lines = new Map();

const zoneOf = (field) => field.closest(".field");
const brings = ({ dataTransfer }) => dataTransfer?.types.includes("Files");
const endings = ({ accept }) => accept.split(",").filter((each) => each.startsWith("."));

function fieldUnder({ target }) {
  return fields.find((field) => zoneOf(field).contains(target)) ?? (fields.length === 1 ? fields[0] : null);
}

function refusalOf(field, files) {
  if (files.length !== 1) return "One file at a time.";
  const [{ name }, read] = [files[0], endings(field)];
  const isRead = !read.length || read.some((ending) => name.toLowerCase().endsWith(ending));
  return isRead ? "" : `“${name}” is not a file that is read here: ${read.join(", ")}.`;
}

function take(field, files) {
  const refusal = refusalOf(field, files);
  lines.get(field).textContent = refusal || `“${files[0].name}” is chosen. It is sent when you press the button.`;
  if (refusal) return;
  field.files = files;
  field.dispatchEvent(new Event("change", { bubbles: true }));
}

function show(chosen) {
  for (const field of fields) zoneOf(field).classList.toggle("is-over", field === chosen);
}

for (const field of fields) {
  const line = Object.assign(document.createElement("p"), { className: "quiet-words", textContent: "Or drop the file here." });
  line.setAttribute("role", "status");
  lines.set(field, line);
  zoneOf(field).classList.add("drop-zone");
  zoneOf(field).append(line);
}
// Wherever it is let go, the browser must not leave the page for it.
addEventListener("dragover", (event) => {
  if (!brings(event)) return;
  event.preventDefault();
  show(fieldUnder(event));
});
addEventListener("dragleave", (event) => event.relatedTarget ?? show(null));
addEventListener("drop", (event) => {
  if (!brings(event)) return;
  event.preventDefault();
  const field = fieldUnder(event);
  if (field) take(field, event.dataTransfer.files);
  show(null);
});
