// The small drawing beside the line: the outlines of the two dogs that are chosen, over each other.

import { fill } from "./words.js";

const PAIR = /\/overlays\/[^/]+\/[^/]+\.svg/;

export function listenToChoice(root, { armbands }) {
  const drawing = root.querySelector("[data-overlay]");
  if (!drawing) return;
  const { first, second } = drawing.closest("form").elements;

  function show() {
    const pair = `/overlays/${first.value}/${second.value}.svg`;
    for (const source of drawing.querySelectorAll("source")) source.srcset = source.srcset.replace(PAIR, pair);
    const picture = drawing.querySelector("img");
    picture.src = picture.src.replace(PAIR, pair);
    picture.alt = fill(drawing.dataset.overlay, { first: armbands[first.value], second: armbands[second.value] });
    drawing.hidden = first.value === second.value;
  }

  for (const choice of [first, second]) choice.addEventListener("change", show);
  show();
}
