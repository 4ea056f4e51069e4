// Draw one of our marks. Where they are, base.html says once for every script.

const SVG = "http://www.w3.org/2000/svg";

export function markElement(name) {
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("class", "mark");
  svg.setAttribute("aria-hidden", "true");
  const use = document.createElementNS(SVG, "use");
  use.setAttribute("href", `${document.body.dataset.marks}#${name}`);
  svg.append(use);
  return svg;
}
