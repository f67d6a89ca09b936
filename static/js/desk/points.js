// Numbered points on a picture: set by a click or tap, dragged, or moved with the arrow keys. The rows beside
// the picture are what is sent; the numbers in the picture follow them.

const SVG = "http://www.w3.org/2000/svg";
const STEP = 1;
const FINE = 0.2;

export function points(picture) {
  const form = picture.closest("form");
  const list = form.querySelector("[data-points]");
  const svg = picture.querySelector("svg");
  const hint = form.querySelector("[data-needs-script]");
  if (hint) hint.hidden = false;

  const rows = () => [...list.children];
  const fields = (row) => ({
    x: row.querySelector("[name=x]"),
    y: row.querySelector("[name=y]"),
    text: row.querySelector("[name=point]"),
  });
  const placed = (row) => fields(row).x.value !== "" && fields(row).y.value !== "";
  const clamp = (value) => Math.min(Math.max(Math.round(value * 10) / 10, 0), 100);

  function draw() {
    const focused = [...svg.children].indexOf(document.activeElement);
    svg.replaceChildren(...rows().filter(placed).map(pointFor));
    if (focused >= 0) svg.children[focused]?.focus();
  }

  function pointFor(row) {
    const number = rows().indexOf(row) + 1;
    const g = document.createElementNS(SVG, "g");
    g.setAttribute("class", "point");
    g.setAttribute("tabindex", "0");
    g.setAttribute("role", "button");
    g.setAttribute("aria-label", `${svg.dataset.pointName} ${number}`);
    const circle = document.createElementNS(SVG, "circle");
    const text = document.createElementNS(SVG, "text");
    circle.setAttribute("r", "14");
    text.setAttribute("dy", "0.35em");
    text.textContent = number;
    g.append(circle, text);
    g.row = row;
    place(g);
    return g;
  }

  function place(g) {
    const { x, y } = fields(g.row);
    const [circle, text] = g.children;
    circle.setAttribute("cx", `${x.value}%`);
    circle.setAttribute("cy", `${y.value}%`);
    text.setAttribute("x", `${x.value}%`);
    text.setAttribute("y", `${y.value}%`);
  }

  function put(row, x, y) {
    const at = fields(row);
    at.x.value = clamp(x);
    at.y.value = clamp(y);
    at.x.dispatchEvent(new Event("input", { bubbles: true }));
  }

  function where(event) {
    const box = svg.getBoundingClientRect();
    return [(100 * (event.clientX - box.left)) / box.width, (100 * (event.clientY - box.top)) / box.height];
  }

  // The first row without a place; a new one where all have theirs.
  function freeRow() {
    const free = rows().find((row) => !placed(row));
    if (free) return free;
    const row = rows().at(-1).cloneNode(true);
    const id = `point-${rows().length + 1}`;
    for (const field of row.querySelectorAll("input, textarea")) field.value = "";
    row.querySelector("textarea").id = id;
    row.querySelector("label").htmlFor = id;
    list.append(row);
    return row;
  }

  let held = null;
  let dragged = false;
  svg.addEventListener("pointerdown", (event) => {
    held = event.target.closest(".point");
    dragged = false;
    if (held) svg.setPointerCapture(event.pointerId);
  });
  svg.addEventListener("pointermove", (event) => {
    if (!held) return;
    dragged = true;
    put(held.row, ...where(event));
    place(held);
  });
  svg.addEventListener("pointerup", (event) => {
    const point = held;
    held = null;
    if (point) {
      if (!dragged) fields(point.row).text.focus();
      return;
    }
    const row = freeRow();
    put(row, ...where(event));
    draw();
    fields(row).text.focus();
  });
  svg.addEventListener("keydown", (event) => {
    const g = event.target.closest(".point");
    const moves = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    const move = moves[event.key];
    if (!g) return;
    const { x, y, text } = fields(g.row);
    if (event.key === "Enter") text.focus();
    if (!move) return;
    event.preventDefault();
    const step = event.shiftKey ? FINE : STEP;
    put(g.row, Number(x.value) + move[0] * step, Number(y.value) + move[1] * step);
    place(g);
  });
  list.addEventListener("input", (event) => {
    if (event.isTrusted && event.target.matches("[name=x], [name=y]")) draw();
  });
  draw();
}
