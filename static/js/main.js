// What every page gets: an error summary takes the focus, also one that was swapped in.

function enhance(root) {
  root.querySelector("[data-focus]")?.focus();
}

enhance(document);
document.addEventListener("htmx:load", (event) => enhance(event.detail.elt));
