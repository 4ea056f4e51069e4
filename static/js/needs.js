// What a question still needs, and which of its fields apply. The page says it in attributes:
//   data-needed                        must be filled (or one of the group chosen) when it applies
//   data-shown-if="NAME=VALUE VALUE"   this box applies only while NAME has one of these values;
//                                      NAME is the field's name, or the part of it after the ":"

export const isChoice = ({ type }) => type === "radio" || type === "checkbox";
export const fieldsOf = (fieldset) => [...fieldset.elements].filter(({ name, type }) => name && type !== "file");

function chosen(fieldset, name) {
  const fields = [...fieldset.elements].filter((field) => [field.name, field.name.split(":").pop()].includes(name));
  const picked = fields.find((field) => !isChoice(field) || field.checked);
  return picked?.value ?? "";
}

export function showWhatApplies(fieldset) {
  for (const box of fieldset.querySelectorAll("[data-shown-if]")) {
    const [name, values] = box.dataset.shownIf.split("=");
    box.hidden = !values.split(" ").includes(chosen(fieldset, name));
  }
}

function isFilled(fieldset, field) {
  if (isChoice(field)) {
    return [...fieldset.elements].some((other) => other.name === field.name && other.checked);
  }
  if (field.type === "file") return field.files.length > 0 || "kept" in field.dataset;
  return field.value.trim() !== "";
}

// Hidden inside the question, that is; the question itself is hidden while another one is asked.
function isAsked(fieldset, field) {
  const hiddenBox = field.closest("[data-shown-if][hidden], [data-ask-again][hidden]");
  return !hiddenBox || !fieldset.contains(hiddenBox);
}

export function openFields(fieldset) {
  return [...fieldset.querySelectorAll("[data-needed]")].filter(
    (field) => isAsked(fieldset, field) && !isFilled(fieldset, field),
  );
}

export function isAnswered(fieldset) {
  return openFields(fieldset).length === 0 && !("refused" in fieldset.dataset);
}

// Typed before this script was there: a slow phone lets a quick hand begin on the plain form.
export function typedEarly(fieldset) {
  return [...fieldset.elements].some((field) =>
    isChoice(field)
      ? field.checked !== field.defaultChecked
      : "defaultValue" in field && field.value !== field.defaultValue,
  );
}
