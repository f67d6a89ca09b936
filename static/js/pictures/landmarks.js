// The landmarks of a photograph: a list says which one is put next.

import { putPoints } from "./put.js";

const svg = document.querySelector("[data-landmarks-picture] svg");
const form = document.querySelector("form[data-landmarks]");
const select = document.querySelector("[data-landmark]");
const rows = new Map([...form.querySelectorAll("[data-name]")].map((row) => [row.dataset.name, row]));
for (const row of rows.values()) {
  const [left, top] = row.querySelectorAll("input");
  left.dataset.axis = "x";
  top.dataset.axis = "y";
}

const points = putPoints({
  svg,
  rows,
  label: (row) => row.firstElementChild.textContent,
  next: {
    get: () => select.value,
    set: (name) => (select.value = name),
    names: () => [...select.options].map((option) => option.value),
  },
  // Lines were measured from where the points stood.
  moved: () => svg.querySelectorAll("line").forEach((line) => line.remove()),
});

form.addEventListener("input", (event) => {
  const name = event.target.closest("[data-name]")?.dataset.name;
  if (name) points.show(name);
});
for (const hint of document.querySelectorAll("[data-needs-script]")) hint.hidden = false;
