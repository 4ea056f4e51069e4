// A signature drawn with a finger, if the person likes. A picture: it proves less than the sign-in.

import { button, make, row, spoken } from "../dom.js";
import { drawLines, followFinger } from "./finger.js";

const [WIDE, HIGH] = [600, 200];
const PEN = 4;

// Always dark on white, in every look: it is printed.
function drawAll(canvas, strokes) {
  const pen = canvas.getContext("2d");
  pen.fillStyle = "#fff";
  pen.fillRect(0, 0, WIDE, HIGH);
  pen.strokeStyle = "#000";
  pen.lineWidth = PEN;
  drawLines(pen, strokes);
}

export function pictureOf(strokes) {
  const canvas = make("canvas", "", "", { width: WIDE, height: HIGH });
  drawAll(canvas, strokes);
  return new Promise((ready) => canvas.toBlob(ready, "image/png"));
}

export function drawnSignature(along) {
  const box = make("details", "drawn");
  const canvas = make("canvas", "drawing", "", { width: WIDE, height: HIGH, role: "img" });
  let strokes = [...along.strokes()];
  let thrown = null;
  const undo = button("Undo", () => {
    if (!strokes.length && thrown) [strokes, thrown] = [thrown, null];
    else strokes.pop();
    changed();
  });
  const clear = button("Clear", () => {
    [thrown, strokes] = [strokes, []];
    changed();
  });
  const told = spoken("quiet-words");
  const show = () => {
    drawAll(canvas, strokes);
    const words = strokes.length ? "Drawn; it is kept with the check." : "Nothing is drawn.";
    told.textContent = words;
    canvas.setAttribute("aria-label", `Field for a signature. ${words}`);
    clear.disabled = strokes.length === 0;
    undo.disabled = strokes.length === 0 && !thrown;
  };
  const changed = () => {
    show();
    along.keepStrokes(strokes);
  };
  // Undone or cleared, `strokes` is another list: each line is added to the one of the moment.
  followFinger(canvas, { push: (line) => strokes.push(line) }, () => drawAll(canvas, strokes), changed);
  const help = "It is a picture of a signature. It proves less than your sign-in, your password or your passkey, and nobody asks for it.";
  box.append(make("summary", "", "Drawn signature, if you like"), make("p", "help", help), canvas, row(undo, clear), told);
  box.open = strokes.length > 0;
  show();
  return box;
}
