// Says how many words a critique has, and how many more or fewer are asked for.

import { countWords } from "./words.js";

export function sayLength(form) {
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
