// Draw one of our marks. In a file of its own, because a page may load keypad.js under another
// (hashed) address than a module would, and it must run only once.

const SVG = "http://www.w3.org/2000/svg";

export function markElement(sprite, name) {
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("class", "mark");
  svg.setAttribute("aria-hidden", "true");
  const use = document.createElementNS(SVG, "use");
  use.setAttribute("href", `${sprite}#${name}`);
  svg.append(use);
  return svg;
}
