// Looks whether something changed, every few seconds by the server's word. Each look waits for the one before;
// jitter spreads a hall's phones, a page nobody sees does not look, and without an answer it looks more seldom.

const JITTER = 0.3;
const MOST_SECONDS = 60;

let misses = 0;
let timer = 0;

const polled = () => document.querySelector("[data-poll]");

function later() {
  clearTimeout(timer);
  const seconds = Math.min(Number(polled()?.dataset.poll || 5) * 2 ** misses, MOST_SECONDS);
  timer = setTimeout(look, seconds * 1000 * (1 - JITTER + 2 * JITTER * Math.random()));
}

export function look() {
  if (document.hidden || !polled()) return later();
  polled().dispatchEvent(new Event("look"));
  return later();
}

document.addEventListener("htmx:afterRequest", (event) => {
  misses = event.detail.successful || event.detail.xhr?.status === 204 ? 0 : Math.min(misses + 1, 4);
  later();
});
document.addEventListener("visibilitychange", () => document.hidden || look());
addEventListener("online", look);
later();
