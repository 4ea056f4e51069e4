// Mark a photograph with a finger: where it is, in one colour that shows on any picture. The plain
// photograph stays beside the marked one.

const QUALITY = 0.85;

function button(words, className, tapped) {
  const made = Object.assign(document.createElement("button"), { type: "button", className, textContent: words });
  made.addEventListener("click", tapped);
  return made;
}

// The button beside the field; `keep` gets the marked picture.
export function offerMark(fieldset, blob, keep) {
  const box = fieldset.querySelector("input[type=file]")?.closest(".file");
  if (!box) return;
  box.querySelector("[data-mark]")?.remove();
  const offer = button("Mark on the photograph", "button", () => openMarking(blob, keep));
  offer.dataset.mark = "";
  box.append(offer);
}

async function openMarking(blob, keep) {
  const picture = await createImageBitmap(blob);
  const canvas = Object.assign(document.createElement("canvas"), { width: picture.width, height: picture.height, className: "marking" });
  canvas.setAttribute("aria-label", "The photograph. Draw on it with a finger.");
  const lines = [];
  const draw = () => drawAll(canvas, picture, lines);
  const dialog = document.createElement("dialog");
  dialog.className = "over-page";
  const undo = button("Undo", "button", () => {
    lines.pop();
    draw();
    tell();
  });
  const done = button("Done", "button main", async () => {
    done.disabled = true;
    await keep(await new Promise((ready) => canvas.toBlob(ready, "image/jpeg", QUALITY)));
    dialog.close();
  });
  const tell = () => {
    undo.disabled = done.disabled = lines.length === 0;
  };
  followFinger(canvas, lines, () => {
    draw();
    tell();
  });
  const heading = Object.assign(document.createElement("h2"), { textContent: "Draw where it is" });
  const row = Object.assign(document.createElement("div"), { className: "button-row" });
  row.append(undo, button("Cancel", "button", () => dialog.close()), done);
  dialog.append(heading, canvas, row);
  dialog.addEventListener("close", () => {
    picture.close();
    dialog.remove();
  });
  draw();
  tell();
  document.body.append(dialog);
  dialog.showModal();
}

function followFinger(canvas, lines, changed) {
  const at = ({ clientX, clientY }) => {
    const seen = canvas.getBoundingClientRect();
    return [((clientX - seen.left) * canvas.width) / seen.width, ((clientY - seen.top) * canvas.height) / seen.height];
  };
  let line = null;
  canvas.addEventListener("pointerdown", (event) => {
    event.preventDefault();
    canvas.setPointerCapture(event.pointerId);
    line = [at(event)];
    lines.push(line);
    changed();
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!line) return;
    line.push(at(event));
    changed();
  });
  for (const end of ["pointerup", "pointercancel"]) {
    canvas.addEventListener(end, () => {
      line = null;
    });
  }
}

// Each line twice: a light edge below, the colour above, so that it shows on light and on dark.
function drawAll(canvas, picture, lines) {
  const pen = canvas.getContext("2d");
  const tokens = getComputedStyle(document.documentElement);
  const width = Math.max(4, Math.max(canvas.width, canvas.height) / 130);
  pen.drawImage(picture, 0, 0);
  pen.lineCap = pen.lineJoin = "round";
  for (const [token, wide] of [["--pen-edge", width * 1.8], ["--pen", width]]) {
    pen.strokeStyle = tokens.getPropertyValue(token).trim();
    pen.lineWidth = wide;
    for (const [first, ...others] of lines) {
      pen.beginPath();
      pen.moveTo(...first);
      for (const point of others.length ? others : [first]) pen.lineTo(...point);
      pen.stroke();
    }
  }
}
