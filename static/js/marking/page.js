// The marking page: saves itself, and adds the points up.

import { autosave } from "../desk/autosave.js";

function addUp(form) {
  const line = form.querySelector("[data-sum]");
  const points = form.querySelectorAll("input[type=number]");
  const { wording, most } = line.dataset;

  function show() {
    const sum = [...points].reduce((all, field) => all + (field.valueAsNumber || 0), 0);
    line.textContent = wording.replace("%n%", sum).replace("%most%", most);
    line.hidden = false;
  }

  form.addEventListener("input", show);
  show();
}

for (const form of document.querySelectorAll("form[data-autosave]")) autosave(form);
for (const form of document.querySelectorAll("form[data-rubric]")) addUp(form);
