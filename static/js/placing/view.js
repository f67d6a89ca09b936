// Brings the page in line with a board: cards, rows, strip, what is left to do.
// Elements that a thumb may be on stay where they are and stay the same elements.

import { rowsOf } from "./rows.js";
import { inLine, isComplete, isFull, rows as rowCount } from "./state.js";
import { fill } from "./words.js";

export function viewOf(root, { armbands, ordinals, counts }) {
  const pieces = piecesOf(root);
  const line = root.querySelector("[data-line]");
  const handIn = root.querySelector("[data-hand-in]");
  const rows = rowsOf(root, { armbands, ordinals, pieces });
  const numbers = (dogs) => dogs.map((dog) => armbands[dog]).join(", ");

  function showCard(card, board) {
    const dog = card.dataset.card;
    const button = card.querySelector("[data-act]");
    const at = board.order.indexOf(dog);
    showMarker(card.querySelector("[data-plate]"), at < 0 ? null : ordinals[at], pieces);
    if (!button || dog in board.rulings) return;
    const { place, back, full } = line.dataset;
    const next = isFull(board) ? full : fill(place, { place: ordinals[board.order.length] });
    button.value = at < 0 ? `place:${dog}` : `back:${dog}`;
    button.firstChild.data = at < 0 ? next : back;
    button.classList.toggle("button-quiet", at >= 0);
    button.setAttribute("aria-disabled", at < 0 && isFull(board));
  }

  function showRest(board) {
    const rest = root.querySelector("[data-rest]");
    const waiting = inLine(board);
    rest.hidden = waiting.length === 0;
    rest.querySelector("[data-rest-dogs]").replaceChildren(...waiting.map(jumpTo));
  }

  function jumpTo(dog) {
    const link = pieces.small();
    link.href = `#dog-${dog}`;
    link.firstElementChild.textContent = armbands[dog];
    return link;
  }

  function showHandIn(board) {
    const note = handIn.querySelector("[data-missing]");
    const waiting = inLine(board);
    const free = rowCount(board) - board.order.length;
    const values = { place: ordinals[board.order.length], dogs: numbers(waiting), count: counts[free] };
    const { ready, missing, some } = note.dataset;
    const complete = isComplete(board);
    handIn.querySelector("button").setAttribute("aria-disabled", !complete);
    note.textContent = complete ? ready : fill(waiting.length > free ? some : missing, values);
  }

  function show(board) {
    for (const card of line.querySelectorAll("[data-card]")) showCard(card, board);
    rows.show(board);
    showRest(board);
    showHandIn(board);
  }

  return { show };
}

function showMarker(plate, ordinal, pieces) {
  const standing = plate.querySelector("[data-marker]");
  if (ordinal === null) standing?.remove();
  else if (standing) standing.firstElementChild.textContent = ordinal;
  else plate.append(pieces.standing(ordinal));
}

// Small pieces of the page, copied from its templates and lettered.
function piecesOf(root) {
  const pieces = {};
  for (const template of root.querySelectorAll("template[data-piece]")) {
    pieces[template.dataset.piece] = (text) => {
      const piece = template.content.firstElementChild.cloneNode(true);
      if (text !== undefined) (piece.querySelector("[data-text], .marker") ?? piece).textContent = text;
      return piece;
    };
  }
  return pieces;
}
