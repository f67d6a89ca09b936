// The keys of a clicker turn the pages of the stage, as the buttons of the rostrum do.

import { look } from "./poll.js";

const WAYS = { PageDown: "after", ArrowRight: "after", PageUp: "before", ArrowLeft: "before" };

document.addEventListener("keydown", async (event) => {
  const form = document.querySelector(`form[data-turn="${WAYS[event.key]}"]`);
  if (!form || event.ctrlKey || event.altKey || event.metaKey) return;
  event.preventDefault();
  await fetch(form.action, { method: "POST", body: new FormData(form), redirect: "manual" }).catch(() => {});
  look();
});
