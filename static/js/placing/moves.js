// What the buttons on cards and board ask for, and the form that takes a place by its number.

import { move, place, put, takeBack } from "./state.js";
import { fill } from "./words.js";

const MOVES = {
  place,
  back: takeBack,
  up: (board, dog) => move(board, dog, -1),
  down: (board, dog) => move(board, dog, +1),
};

// board(): as it stands; change(next): shows and saves it.
export function listenToMoves(root, { armbands, ordinals, board, change }) {
  const line = root.querySelector("[data-moved]");

  function say(dog, before, after) {
    const [from, to] = [before.order.indexOf(dog), after.order.indexOf(dog)];
    const values = { n: armbands[dog], place: ordinals[to] };
    tell(fill(line.dataset[happened(from, to)], values), false);
  }

  // What can't be done looks and is announced otherwise than what was done.
  function tell(text, wrong) {
    line.classList.toggle("board-wrong", wrong);
    line.setAttribute("role", wrong ? "alert" : "status");
    line.textContent = text;
  }

  function apply(dog, after) {
    const before = board();
    if (after !== before) change(after);
    say(dog, before, after);
  }

  function press(event) {
    const [name, dog] = (event.submitter?.value ?? "").split(":");
    if (!MOVES[name]) return;
    event.preventDefault();
    apply(dog, MOVES[name](board(), dog));
    keepFocus(event.submitter);
  }

  function type(event) {
    event.preventDefault();
    const { dog, to } = event.target.elements;
    const wanted = Number(to.value);
    const last = board().order.length;
    if (!Number.isInteger(wanted) || wanted < 1 || wanted > last) {
      tell(fill(line.dataset.range, { last }), true);
      to.focus();
      return;
    }
    apply(dog.value, put(board(), dog.value, wanted));
    to.value = "";
  }

  root.querySelector("[data-moves]").addEventListener("submit", press);
  root.querySelector("[data-put]").addEventListener("submit", type);
  return { apply };
}

function happened(from, to) {
  if (to < 0) return from < 0 ? "full" : "back";
  if (from < 0) return "placed";
  if (to === from) return "stays";
  return to < from ? "up" : "down";
}

// The button pressed has moved with its dog and keeps the focus, at the end of the board too: were it
// handed to the opposite arrow there, one press too many of the same key would undo the move.
function keepFocus(button) {
  button.focus({ preventScroll: true });
}
