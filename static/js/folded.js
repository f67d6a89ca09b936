// Folded parts: the one that an address points at is opened, and all are while a page is printed.

function open(id) {
  const part = id && document.getElementById(id)?.closest("details");
  if (part) part.open = true;
}

let opened = [];

open(decodeURIComponent(location.hash.slice(1)));
document.addEventListener("click", (event) => {
  const link = event.target.closest('a[href^="#"]');
  if (link) open(link.getAttribute("href").slice(1));
});
addEventListener("beforeprint", () => {
  opened = [...document.querySelectorAll("main details:not([open])")];
  for (const part of opened) part.open = true;
});
addEventListener("afterprint", () => {
  for (const part of opened) part.open = false;
});
