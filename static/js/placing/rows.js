// The rows of the board and the strip. A dog's cell moves from row to row; rows stay.

import { fill } from "./words.js";

const MOVE = { duration: 140, easing: "ease-out" };

export function rowsOf(root, { armbands, ordinals, pieces }) {
  const list = root.querySelector("[data-board]");
  const strip = root.querySelector("[data-strip]");
  const put = root.querySelector("[data-put]");
  const spare = root.querySelector("[data-spare-cells]").content;
  const cells = Object.fromEntries([...cellsIn(spare), ...cellsIn(list)].map((cell) => [cell.dataset.cell, cell]));
  const still = matchMedia("(prefers-reduced-motion: reduce)");

  function showRow(row, index, { order }) {
    const dog = order[index];
    const marker = row.firstElementChild;
    marker.replaceChildren(pieces[dog ? "yours" : "free"](ordinals[index]));
    row.classList.toggle("board-row-free", !dog);
    const wanted = dog ? cells[dog] : pieces.ground(index === order.length ? fill(list.dataset.next, { place: ordinals[index] }) : undefined);
    // The row above may just have taken this row's cell, so the marker is named and kept.
    if (wanted !== row.children[1]) row.replaceChildren(marker, wanted);
    if (dog) labelMoves(wanted, armbands[dog], index, order.length);
  }

  function labelMoves(cell, n, index, count) {
    const [up, down] = cell.querySelectorAll("[data-arrow]");
    label(up, list.dataset.up, { n, place: ordinals[index - 1] }, index === 0);
    label(down, list.dataset.down, { n, place: ordinals[index + 1] }, index === count - 1);
  }

  function label(button, sentence, values, atEnd) {
    button.setAttribute("aria-label", fill(atEnd ? button.dataset.end : sentence, values));
    button.setAttribute("aria-disabled", atEnd);
  }

  function showStrip({ order }) {
    [...strip.children].forEach((spot, index) => {
      const dog = order[index];
      const below = dog ? pieces.armband(armbands[dog]) : pieces.spot();
      spot.replaceChildren(pieces[dog ? "yours" : "free"](ordinals[index]), below);
    });
  }

  function showPut({ order }) {
    const select = put.querySelector("select");
    const chosen = select.value;
    select.replaceChildren(...order.map((dog) => new Option(armbands[dog], dog)));
    if (order.includes(chosen)) select.value = chosen;
    put.hidden = order.length < 2;
  }

  // Cells glide from where they were; only those that were in a row already.
  function gliding(change) {
    const before = new Map(cellsIn(list).map((cell) => [cell, cell.getBoundingClientRect().top]));
    change();
    if (still.matches) return;
    for (const [cell, top] of before) {
      const by = top - cell.getBoundingClientRect().top;
      if (cell.isConnected && by) cell.animate({ translate: [`0 ${by}px`, "0 0"] }, MOVE);
    }
  }

  function show(board) {
    gliding(() => [...list.children].forEach((row, index) => showRow(row, index, board)));
    showStrip(board);
    showPut(board);
  }

  return { show };
}

const cellsIn = (node) => [...node.querySelectorAll("[data-cell]")];
