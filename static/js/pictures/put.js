// Named points on a picture: put by a click or tap, dragged, or moved with the arrow keys. The numbers beside
// the names are what is sent; the points follow them.

const SVG = "http://www.w3.org/2000/svg";
const STEP = 1;
const FINE = 0.1;
const MOVES = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

const clamp = (value) => Math.min(Math.max(Math.round(value * 10) / 10, 0), 100);

function circle(radius, name = "") {
  const found = document.createElementNS(SVG, "circle");
  found.setAttribute("r", radius);
  if (name) found.setAttribute("class", name);
  return found;
}

function pointFor(name, label) {
  const g = document.createElementNS(SVG, "g");
  g.setAttribute("class", "landmark");
  g.setAttribute("tabindex", "0");
  g.setAttribute("role", "button");
  g.setAttribute("aria-label", label);
  g.dataset.point = name;
  g.append(circle("9"), circle("2", "landmark-core"));
  return g;
}

// rows: elements by name, each with its two number fields; next: { get(), set(name), names() } of what is put next;
// moved: called with a name whenever its numbers change here.
export function putPoints({ svg, rows, label, next, moved = () => {} }) {
  const fields = (name) => rows.get(name).querySelectorAll("input[data-axis]");
  const placed = (name) => [...fields(name)].every((field) => field.value !== "");

  function show(name) {
    let g = svg.querySelector(`[data-point="${name}"]`);
    if (!placed(name)) return g?.remove();
    if (!g) svg.append((g = pointFor(name, label(rows.get(name)))));
    const [x, y] = [...fields(name)].map((field) => field.value.replace(",", "."));
    for (const one of g.children) {
      one.setAttribute("cx", `${x}%`);
      one.setAttribute("cy", `${y}%`);
    }
    return undefined;
  }

  function put(name, x, y) {
    const [left, top] = fields(name);
    left.value = clamp(x);
    top.value = clamp(y);
    show(name);
    moved(name);
  }

  // On to the next landmark that has no place yet.
  function advance() {
    const names = next.names();
    const later = names.slice(names.indexOf(next.get()) + 1);
    const free = later.find((name) => !placed(name));
    if (free) next.set(free);
  }

  function where(event) {
    const box = svg.getBoundingClientRect();
    return [(100 * (event.clientX - box.left)) / box.width, (100 * (event.clientY - box.top)) / box.height];
  }

  let held = null;
  svg.addEventListener("pointerdown", (event) => {
    held = event.target.closest("[data-point]")?.dataset.point ?? null;
    if (!held) return;
    next.set(held);
    svg.setPointerCapture(event.pointerId);
  });
  svg.addEventListener("pointermove", (event) => {
    if (held) put(held, ...where(event));
  });
  svg.addEventListener("pointercancel", () => (held = null));
  svg.addEventListener("pointerup", (event) => {
    if (held) {
      held = null;
      return;
    }
    put(next.get(), ...where(event));
    advance();
  });
  svg.addEventListener("keydown", (event) => {
    const name = event.target.closest("[data-point]")?.dataset.point;
    const move = MOVES[event.key];
    if (!name || !move) return;
    event.preventDefault();
    const step = event.shiftKey ? FINE : STEP;
    const [x, y] = [...fields(name)].map((field) => Number(field.value.replace(",", ".")));
    put(name, x + move[0] * step, y + move[1] * step);
  });
  for (const name of rows.keys()) show(name);
  return { show, put, focus: (name) => svg.querySelector(`[data-point="${name}"]`)?.focus() };
}
