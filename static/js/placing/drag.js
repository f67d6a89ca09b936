// Dragging a row of the board by its dog, with a mouse only: on a touch screen scrolling must never
// move a dog. The row lifts, a dashed line shows where it would stand, Escape puts it back.

const NEAR_PX = 4;

export function listenToDrag(root, { drop }) {
  const list = root.querySelector("[data-board]");
  let drag = null;

  const taken = () => [...list.children].filter((row) => row.querySelector("[data-cell]"));

  function start(event) {
    const row = event.target.closest("[data-cell]")?.closest("li");
    if (!row || event.target.closest("button") || event.pointerType !== "mouse" || event.button !== 0) return;
    drag = { row, from: event.clientY, to: null, lifted: false };
    list.setPointerCapture(event.pointerId);
  }

  function follow(event) {
    if (!drag) return;
    const by = event.clientY - drag.from;
    if (!drag.lifted && Math.abs(by) < NEAR_PX) return;
    drag.lifted = true;
    drag.row.classList.add("board-row-lifted");
    drag.row.style.translate = `0 ${by}px`;
    aim(event);
  }

  // The row under the pointer, among those that are taken; none outside the board.
  function aim({ clientX, clientY }) {
    const box = list.getBoundingClientRect();
    const inside = clientX >= box.left && clientX <= box.right;
    const height = box.height / list.children.length;
    const index = Math.floor((clientY - box.top) / height);
    const rows = taken();
    drag.to = inside && index >= 0 && index < list.children.length ? Math.min(index, rows.length - 1) : null;
    const at = rows.indexOf(drag.row);
    rows.forEach((row, place) => {
      row.classList.toggle("board-row-target", place === drag.to && place < at);
      row.classList.toggle("board-row-target-below", place === drag.to && place > at);
    });
  }

  function end(place) {
    if (!drag) return;
    const { row, lifted } = drag;
    drag = null;
    row.style.translate = "";
    for (const one of list.children) one.classList.remove("board-row-lifted", "board-row-target", "board-row-target-below");
    if (lifted && place !== null) drop(row.querySelector("[data-cell]").dataset.cell, place + 1);
  }

  list.addEventListener("pointerdown", start);
  list.addEventListener("pointermove", follow);
  list.addEventListener("pointerup", () => end(drag?.to ?? null));
  list.addEventListener("pointercancel", () => end(null));
  list.addEventListener("dragstart", (event) => event.preventDefault());
  document.addEventListener("keydown", (event) => event.key === "Escape" && end(null));
}
