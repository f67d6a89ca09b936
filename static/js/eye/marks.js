// Landmarks of a sheet are put on its pictures; a number in a field moves its point.

import { putPoints } from "../pictures/put.js";

export function putMarks(part) {
  const rows = new Map([...part.querySelectorAll("[data-name]")].map((row) => [row.dataset.name, row]));
  const choices = [...part.querySelectorAll('.eye-next input[type="radio"]')];
  const form = part.closest("form");
  if (!form) return;

  const points = putPoints({
    svg: part.querySelector("svg.picture-overlay"),
    rows,
    label: (row) => row.querySelector(".eye-mark-name").textContent,
    next: {
      get: () => choices.find((choice) => choice.checked).value,
      set: (name) => (choices.find((choice) => choice.value === name).checked = true),
      names: () => choices.map((choice) => choice.value),
    },
    // The form saves itself when something is typed; a tap is as good.
    moved: (name) => rows.get(name).querySelector("input[data-axis]").dispatchEvent(new Event("input", { bubbles: true })),
  });

  part.addEventListener("input", (event) => {
    const row = event.target.closest("[data-name]");
    if (row && event.target.dataset.axis) points.show(row.dataset.name);
  });
  form.addEventListener("filled", () => [...rows.keys()].forEach(points.show));
  part.addEventListener("click", (event) => {
    const row = event.target.closest("[data-middle]")?.closest("[data-name]");
    if (!row) return;
    points.put(row.dataset.name, 50, 50);
    points.focus(row.dataset.name);
  });
  for (const shown of part.querySelectorAll("[data-needs-script]")) shown.hidden = false;
  for (const gone of part.querySelectorAll("[data-without-script]")) gone.hidden = true;
}
