// Rows dragged to another place. The buttons of each row do the same without a mouse, and without scripts.

export function reorder(list) {
  let held = null;

  for (const row of list.children) {
    row.draggable = true;
    row.addEventListener("dragstart", (event) => {
      held = row;
      event.dataTransfer.effectAllowed = "move";
      event.dataTransfer.setData("text/plain", row.dataset.row);
    });
    row.addEventListener("dragover", (event) => {
      if (!held) return;
      event.preventDefault();
      row.classList.toggle("desk-row-over", row !== held);
    });
    row.addEventListener("dragleave", () => row.classList.remove("desk-row-over"));
    row.addEventListener("dragend", () => (held = null));
    row.addEventListener("drop", (event) => {
      event.preventDefault();
      row.classList.remove("desk-row-over");
      if (held && held !== row) drop(held, row);
    });
  }

  // The page's own form is sent, with the number of the row that it was dropped on.
  function drop(moved, onto) {
    const form = moved.querySelector(".desk-moves form");
    const to = document.createElement("input");
    to.type = "hidden";
    to.name = "to";
    to.value = [...list.children].indexOf(onto) + 1;
    form.append(to);
    form.submit();
  }
}
