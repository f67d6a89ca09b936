// The sheet on which a critique is written: it saves itself, and says how many words it has.

import { autosave } from "../desk/autosave.js";
import { handIn } from "../sheets/hand-in.js";
import { keepAnswers } from "../sheets/kept.js";
import { countWords } from "./words.js";

function sayLength(form) {
  const text = form.elements.text;
  const line = form.querySelector("[data-count]");
  const { some, one, few, many } = line.dataset;
  const least = Number(line.dataset.least);
  const most = Number(line.dataset.most);

  function show() {
    const n = countWords(text.value);
    const wording = n < least ? few : n > most ? many : n === 1 ? one : some;
    line.textContent = wording.replace("%n%", n).replace("%more%", n < least ? least - n : n - most);
  }

  text.addEventListener("input", show);
  show();
}

for (const form of document.querySelectorAll("form[data-critique]")) {
  handIn(form);
  autosave(form);
  sayLength(form);
  keepAnswers(form);
}
