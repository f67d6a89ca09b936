// Named points on a photograph: placed by a click or tap, dragged, or moved with the arrow keys. The numbers in
// the form are what is sent; the points follow them.

const SVG = "http://www.w3.org/2000/svg";
const STEP = 1;
const FINE = 0.1;
const MOVES = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

const svg = document.querySelector("[data-landmarks-picture] svg");
const form = document.querySelector("form[data-landmarks]");
const select = document.querySelector("[data-landmark]");
const rows = new Map([...form.querySelectorAll("[data-name]")].map((row) => [row.dataset.name, row]));

const fields = (name) => rows.get(name).querySelectorAll("input");
const placed = (name) => [...fields(name)].every((field) => field.value !== "");
const clamp = (value) => Math.min(Math.max(Math.round(value * 10) / 10, 0), 100);

function pointFor(name) {
  const g = document.createElementNS(SVG, "g");
  const circle = document.createElementNS(SVG, "circle");
  g.setAttribute("class", "landmark");
  g.setAttribute("tabindex", "0");
  g.setAttribute("role", "button");
  g.setAttribute("aria-label", rows.get(name).firstElementChild.textContent);
  g.dataset.point = name;
  circle.setAttribute("r", "9");
  g.append(circle, document.createElementNS(SVG, "circle"));
  g.lastElementChild.setAttribute("r", "2");
  g.lastElementChild.setAttribute("class", "landmark-core");
  return g;
}

function show(name) {
  let g = svg.querySelector(`[data-point="${name}"]`);
  if (!placed(name)) return g?.remove();
  if (!g) svg.append((g = pointFor(name)));
  const [x, y] = [...fields(name)].map((field) => field.value.replace(",", "."));
  for (const circle of g.children) {
    circle.setAttribute("cx", `${x}%`);
    circle.setAttribute("cy", `${y}%`);
  }
}

function put(name, x, y) {
  const [left, top] = fields(name);
  // Lines were measured from where the points stood.
  for (const line of svg.querySelectorAll("line")) line.remove();
  left.value = clamp(x);
  top.value = clamp(y);
  show(name);
}

// On to the next landmark that has no place yet.
function advance() {
  const later = [...select.options].slice(select.selectedIndex + 1);
  const next = later.find((option) => !placed(option.value));
  if (next) select.value = next.value;
}

function where(event) {
  const box = svg.getBoundingClientRect();
  return [(100 * (event.clientX - box.left)) / box.width, (100 * (event.clientY - box.top)) / box.height];
}

let held = null;
svg.addEventListener("pointerdown", (event) => {
  held = event.target.closest("[data-point]")?.dataset.point ?? null;
  if (!held) return;
  select.value = held;
  svg.setPointerCapture(event.pointerId);
});
svg.addEventListener("pointermove", (event) => {
  if (held) put(held, ...where(event));
});
svg.addEventListener("pointerup", (event) => {
  if (held) {
    held = null;
    return;
  }
  put(select.value, ...where(event));
  advance();
});
svg.addEventListener("keydown", (event) => {
  const name = event.target.closest("[data-point]")?.dataset.point;
  const move = MOVES[event.key];
  if (!name || !move) return;
  event.preventDefault();
  const step = event.shiftKey ? FINE : STEP;
  const [x, y] = [...fields(name)].map((field) => Number(field.value));
  put(name, x + move[0] * step, y + move[1] * step);
});
form.addEventListener("input", (event) => {
  const name = event.target.closest("[data-name]")?.dataset.name;
  if (name) show(name);
});

for (const hint of document.querySelectorAll("[data-needs-script]")) hint.hidden = false;
for (const name of rows.keys()) show(name);
