// Says beside a form whether it holds something that is not saved, and warns before it is left.
// A form takes part by data-unsaved; "yes" says that it came back from the server unsaved. With data-autosave it is
// saved as one types, unless it came back: then the button decides.

import { autosave } from "../desk/autosave.js";
import { keepWords } from "./kept.js";

function chosenFirst(select) {
  const given = [...select.options].filter((option) => option.defaultSelected);
  return given.length ? given.every((option) => option.selected) : select.selectedIndex <= 0;
}

// What the server sent is the field's default, also where the browser filled in something else.
function differs(field) {
  if (!field.name || field.type === "hidden" || field.type === "submit") return false;
  if (field.type === "checkbox" || field.type === "radio") return field.checked !== field.defaultChecked;
  if (field.type === "file") return field.files.length > 0;
  if (field.options) return !chosenFirst(field);
  return field.value !== field.defaultValue;
}

function watch(form) {
  const states = form.querySelectorAll("[data-unsaved-state]");
  const isUnsaved = () => form.dataset.unsaved === "yes" || [...form.elements].some(differs);
  let isSending = false;

  function show() {
    const unsaved = isUnsaved();
    for (const state of states) {
      state.classList.toggle("save-state-kept", unsaved);
      for (const part of state.children) part.hidden = (part.dataset.kind === "unsaved") !== unsaved;
    }
  }

  form.addEventListener("input", show);
  form.addEventListener("change", show);
  form.addEventListener("submit", () => (isSending = true));
  addEventListener("beforeunload", (event) => {
    if (!isSending && isUnsaved()) event.preventDefault();
  });
  // Brought back from the browser's memory, the form was sent once and stands here again.
  addEventListener("pageshow", () => {
    isSending = false;
    show();
  });
}

for (const form of document.querySelectorAll("form[data-unsaved]")) {
  if ("autosave" in form.dataset && form.dataset.unsaved !== "yes") autosave(form);
  else watch(form);
  keepWords(form);
}
