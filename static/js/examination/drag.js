// Dragging a step by its name, with a mouse only, so that scrolling on a touch screen never moves one. The row
// lifts, a line shows where it would stand, Escape puts it back.

const NEAR_PX = 4;

export function listenToDrag(list, { drop }) {
  let drag = null;

  function start(event) {
    const row = event.target.closest("[data-name]")?.closest("[data-step]");
    if (!row || event.pointerType !== "mouse" || event.button !== 0) return;
    event.preventDefault();
    drag = { row, from: event.clientY, to: null, lifted: false };
    list.setPointerCapture(event.pointerId);
  }

  function follow(event) {
    if (!drag) return;
    const by = event.clientY - drag.from;
    if (!drag.lifted && Math.abs(by) < NEAR_PX) return;
    drag.lifted = true;
    drag.row.classList.add("order-row-lifted");
    drag.row.style.translate = `0 ${by}px`;
    aim(event.clientY);
  }

  function aim(y) {
    const rows = [...list.children];
    const at = rows.indexOf(drag.row);
    const tops = rows.map((row) => (row === drag.row ? null : row.getBoundingClientRect()));
    const over = tops.findIndex((box) => box && y >= box.top && y <= box.bottom);
    const box = list.getBoundingClientRect();
    drag.to = y < box.top ? 0 : y > box.bottom ? rows.length - 1 : over < 0 ? at : over;
    rows.forEach((row, place) => {
      row.classList.toggle("order-row-target", place === drag.to && place < at);
      row.classList.toggle("order-row-target-below", place === drag.to && place > at);
    });
  }

  function end(isDrop) {
    if (!drag) return;
    const { row, lifted, to } = drag;
    drag = null;
    row.style.translate = "";
    for (const one of list.children) one.classList.remove("order-row-lifted", "order-row-target", "order-row-target-below");
    if (isDrop && lifted && to !== null) drop(row, to);
  }

  list.addEventListener("pointerdown", start);
  list.addEventListener("pointermove", follow);
  list.addEventListener("pointerup", () => end(true));
  list.addEventListener("pointercancel", () => end(false));
  document.addEventListener("keydown", (event) => event.key === "Escape" && end(false));
}
