// A signature drawn with a finger, if the person likes. A picture: it proves less than the sign-in.

const [WIDE, HIGH] = [600, 200];
const PEN = 4;

const make = (name, className, textContent = "") => Object.assign(document.createElement(name), { className, textContent });

function button(words, tapped) {
  const made = Object.assign(make("button", "button", words), { type: "button" });
  made.addEventListener("click", tapped);
  return made;
}

// Always dark on white, in every look: it is printed.
function drawAll(canvas, strokes) {
  const pen = canvas.getContext("2d");
  pen.fillStyle = "#fff";
  pen.fillRect(0, 0, WIDE, HIGH);
  pen.strokeStyle = "#000";
  pen.lineWidth = PEN;
  pen.lineCap = pen.lineJoin = "round";
  for (const [first, ...others] of strokes) {
    pen.beginPath();
    pen.moveTo(...first);
    for (const point of others.length ? others : [first]) pen.lineTo(...point);
    pen.stroke();
  }
}

export function pictureOf(strokes) {
  const canvas = Object.assign(document.createElement("canvas"), { width: WIDE, height: HIGH });
  drawAll(canvas, strokes);
  return new Promise((ready) => canvas.toBlob(ready, "image/png"));
}

export function drawnSignature(along) {
  const box = make("details", "drawn");
  const canvas = Object.assign(make("canvas", "drawing"), { width: WIDE, height: HIGH, role: "img" });
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
  const told = make("p", "quiet-words");
  told.setAttribute("role", "status");
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
  followFinger(canvas, {
    begin: (point) => {
      strokes.push([point]);
      drawAll(canvas, strokes);
    },
    go: (point) => {
      strokes.at(-1).push(point);
      drawAll(canvas, strokes);
    },
    end: changed,
  });
  const row = make("div", "button-row");
  row.append(undo, clear);
  const help = "It is a picture of a signature. It proves less than your sign-in, your password or your passkey, and nobody asks for it.";
  box.append(make("summary", "", "Drawn signature, if you like"), make("p", "help", help), canvas, row, told);
  box.open = strokes.length > 0;
  show();
  return box;
}

function followFinger(canvas, { begin, go, end }) {
  let drawing = false;
  const at = ({ clientX, clientY }) => {
    const seen = canvas.getBoundingClientRect();
    return [((clientX - seen.left) * WIDE) / seen.width, ((clientY - seen.top) * HIGH) / seen.height].map(Math.round);
  };
  canvas.addEventListener("pointerdown", (event) => {
    event.preventDefault();
    canvas.setPointerCapture(event.pointerId);
    drawing = true;
    begin(at(event));
  });
  canvas.addEventListener("pointermove", (event) => drawing && go(at(event)));
  for (const name of ["pointerup", "pointercancel"]) {
    canvas.addEventListener(name, () => {
      if (drawing) end();
      drawing = false;
    });
  }
}
