// What every page gets: an error summary takes the focus, also one that was swapped in.

import { forgetOthers } from "./offline/others.js";

function enhance(root) {
  root.querySelector("[data-focus]")?.focus();
}

enhance(document);
forgetOthers();
document.addEventListener("htmx:load", (event) => enhance(event.detail.elt));
