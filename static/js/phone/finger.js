// Lines drawn with a finger on a canvas, each a list of its points.

// Every line that is drawn goes to `lines`; `ended` hears of its end, `changed` of every point.
export function followFinger(canvas, lines, changed, ended = () => {}) {
  const at = ({ clientX, clientY }) => {
    const seen = canvas.getBoundingClientRect();
    return [((clientX - seen.left) * canvas.width) / seen.width, ((clientY - seen.top) * canvas.height) / seen.height].map(Math.round);
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
      if (line) ended();
      line = null;
    });
  }
}

export function drawLines(pen, lines) {
  pen.lineCap = pen.lineJoin = "round";
  for (const [first, ...others] of lines) {
    pen.beginPath();
    pen.moveTo(...first);
    for (const point of others.length ? others : [first]) pen.lineTo(...point);
    pen.stroke();
  }
}
