// Mark a photograph with a finger: where it is, in one colour that shows on any picture. The plain
// photograph stays beside the marked one.

import { button, make, overPage, row } from "../dom.js";
import { drawLines, followFinger } from "./finger.js";

const QUALITY = 0.85;

// The button beside the field; `keep` gets the marked picture.
export function offerMark(fieldset, blob, keep) {
  const box = fieldset.querySelector("input[type=file]")?.closest(".file");
  if (!box) return;
  box.querySelector("[data-mark]")?.remove();
  const offer = button("Mark on the photograph", () => openMarking(blob, keep));
  offer.dataset.mark = "";
  box.append(offer);
}

async function openMarking(blob, keep) {
  const picture = await createImageBitmap(blob);
  const canvas = make("canvas", "marking", "", { width: picture.width, height: picture.height });
  canvas.setAttribute("aria-label", "The photograph. Draw on it with a finger.");
  const lines = [];
  const changed = () => {
    drawMarks(canvas, picture, lines);
    undo.disabled = done.disabled = lines.length === 0;
  };
  const undo = button("Undo", () => {
    lines.pop();
    changed();
  });
  const finish = async () => {
    done.disabled = true;
    await keep(await new Promise((ready) => canvas.toBlob(ready, "image/jpeg", QUALITY)));
    dialog.close();
  };
  const done = button("Done", finish, "button main");
  followFinger(canvas, lines, changed);
  const buttons = row(undo, button("Cancel", () => dialog.close()), done);
  const dialog = overPage("over-page", make("h2", "", "Draw where it is"), canvas, buttons);
  dialog.addEventListener("close", () => picture.close());
  changed();
  dialog.showModal();
}

// Each line twice: a light edge below, the colour above, so that it shows on light and on dark.
function drawMarks(canvas, picture, lines) {
  const pen = canvas.getContext("2d");
  const tokens = getComputedStyle(document.documentElement);
  const width = Math.max(4, Math.max(canvas.width, canvas.height) / 130);
  pen.drawImage(picture, 0, 0);
  for (const [token, wide] of [["--pen-edge", width * 1.8], ["--pen", width]]) {
    pen.strokeStyle = tokens.getPropertyValue(token).trim();
    pen.lineWidth = wide;
    drawLines(pen, lines);
  }
}
