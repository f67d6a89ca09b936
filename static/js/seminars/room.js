// A page of the room: it follows by itself, its clock counts, its form keeps what is answered.

import { start } from "./clock.js";
import { hand } from "./hand.js";
import "./poll.js";
import { tap } from "./tap.js";

function enhance(root) {
  for (const form of root.querySelectorAll("form[data-hand]")) {
    hand(form);
    tap(form);
  }
  start();
}

enhance(document);
document.addEventListener("htmx:afterSwap", () => enhance(document.querySelector("[data-poll]") ?? document));
