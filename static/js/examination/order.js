// Steps put in order on the page itself: by buttons, by typed numbers, and with a mouse by dragging. What is
// sent are the numbers, so that without this script the same form works with a page between two moves.

import { listenToDrag } from "./drag.js";

export function order(root) {
  const placed = root.querySelector("[data-placed]");
  const waiting = root.querySelector("[data-waiting]");
  const ordinals = root.dataset.ordinals.split("|");
  const form = root.closest("form");
  const numberOf = (row) => row.querySelector(".order-number");
  const nameOf = (row) => row.querySelector("[data-name]").textContent;
  const rowOf = (element) => element.closest("[data-step]");

  function show() {
    const rows = [...placed.children];
    rows.forEach((row, at) => {
      numberOf(row).value = at + 1;
      mark(row, true, at === 0, at === rows.length - 1);
    });
    for (const row of waiting.children) {
      numberOf(row).value = "";
      mark(row, false, false, false);
    }
    for (const label of root.querySelectorAll("[data-next-label]")) label.textContent = ordinals[rows.length] ?? "";
    root.querySelector("[data-none]").hidden = rows.length > 0;
    root.querySelector("[data-rest]").hidden = waiting.children.length === 0;
  }

  function mark(row, isPlaced, isFirst, isLast) {
    const [up, down, next] = ["up", "down", "next"].map((move) => row.querySelector(`[data-move="${move}"]`));
    [up.hidden, down.hidden, next.hidden] = [!isPlaced, !isPlaced, isPlaced];
    up.setAttribute("aria-disabled", String(isFirst));
    down.setAttribute("aria-disabled", String(isLast));
  }

  // To a place counted from 0; without one back among those that wait.
  function put(row, place) {
    if (place === null) waiting.append(row);
    else {
      const others = [...placed.children].filter((one) => one !== row);
      placed.insertBefore(row, others[place] ?? null);
    }
    show();
    const at = [...placed.children].indexOf(row);
    const words = at < 0 ? root.dataset.saidOut : root.dataset.said;
    root.querySelector("[data-telling]").textContent = words
      .replace("%name%", nameOf(row))
      .replace("%place%", ordinals[at] ?? "");
    form.dispatchEvent(new Event("input", { bubbles: true }));
  }

  root.addEventListener("click", (event) => {
    const button = event.target.closest("[data-move]");
    if (!button) return;
    event.preventDefault();
    const row = rowOf(button);
    const { move } = button.dataset;
    if (move === "next") {
      const following = row.nextElementSibling ?? row.previousElementSibling;
      put(row, placed.children.length);
      // On to the next step that waits, or to the one just placed when it was the last.
      (following?.querySelector('[data-move="next"]') ?? row.querySelector('[data-move="up"]')).focus();
      return;
    }
    if (button.getAttribute("aria-disabled") === "true") return;
    put(row, [...placed.children].indexOf(row) + (move === "up" ? -1 : 1));
    const other = row.querySelector(`[data-move="${move === "up" ? "down" : "up"}"]`);
    (button.getAttribute("aria-disabled") === "true" ? other : button).focus();
  });

  root.addEventListener("change", (event) => {
    if (!event.target.matches(".order-number")) return;
    const row = rowOf(event.target);
    const wanted = Number.parseInt(event.target.value, 10);
    put(row, wanted > 0 ? Math.min(wanted - 1, placed.children.length) : null);
  });

  // Numbers that this device had kept are on the page: rows go where they say.
  form.addEventListener("filled", () => {
    const rows = [...placed.children, ...waiting.children];
    const numbered = rows.filter((row) => Number(numberOf(row).value) > 0);
    numbered.sort((one, other) => Number(numberOf(one).value) - Number(numberOf(other).value));
    placed.append(...numbered);
    waiting.append(...rows.filter((row) => !numbered.includes(row)));
    show();
  });

  listenToDrag(placed, { drop: put });
  root.classList.add("order-scripted");
}
