// Rectangles drawn across the photograph, for cropping and covering; the numbers beside it are what is sent.

const SVG = "http://www.w3.org/2000/svg";
const EDGES = ["left", "top", "right", "bottom"];

const area = document.querySelector("[data-area]");
const boxes = document.querySelector("[data-boxes]");

function wire() {
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("class", "picture-overlay");
  svg.setAttribute("aria-hidden", "true");
  area.querySelector("img").after(svg);
  area.classList.add("picture-area-drawn");
  for (const hint of document.querySelectorAll("form[data-tool] [data-needs-script]")) hint.hidden = false;

  const rows = () => [...boxes.querySelectorAll(".picture-box")];
  const fields = (row) => EDGES.map((name) => row.querySelector(`[name=${name}]`));
  const values = (row) => fields(row).map((field) => (field.value === "" ? NaN : Number(field.value.replace(",", "."))));

  function draw() {
    const whole = rows().map(values).filter((edges) => edges.every(Number.isFinite));
    svg.replaceChildren(...whole.map(([left, top, right, bottom]) => {
      const rect = document.createElementNS(SVG, "rect");
      const sizes = { x: left, y: top, width: Math.max(right - left, 0), height: Math.max(bottom - top, 0) };
      for (const [name, value] of Object.entries(sizes)) rect.setAttribute(name, `${value}%`);
      return rect;
    }));
  }

  // Cropping has one rectangle; covering takes the first that is empty, or the last.
  const chosen = () => rows().find((row) => values(row).every(Number.isNaN)) ?? rows().at(-1);

  function where(event) {
    const box = svg.getBoundingClientRect();
    const share = (at, start, size) => Math.min(Math.max((100 * (at - start)) / size, 0), 100);
    return [share(event.clientX, box.left, box.width), share(event.clientY, box.top, box.height)];
  }

  let row = null;
  let began = null;
  svg.addEventListener("pointerdown", (event) => {
    event.preventDefault();
    svg.setPointerCapture(event.pointerId);
    row = chosen();
    began = where(event);
  });
  svg.addEventListener("pointermove", (event) => {
    if (!row) return;
    const [x, y] = where(event);
    const edges = [Math.min(x, began[0]), Math.min(y, began[1]), Math.max(x, began[0]), Math.max(y, began[1])];
    fields(row).forEach((field, at) => (field.value = edges[at].toFixed(1)));
    draw();
  });
  for (const end of ["pointerup", "pointercancel"]) svg.addEventListener(end, () => (row = null));
  boxes.addEventListener("input", draw);
  draw();
}

if (area && boxes) wire();
