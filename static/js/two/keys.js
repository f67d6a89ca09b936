// Choosing with the arrow keys, and no second press while the first is on its way.

import { sendChoice } from "./send.js";

const SIDES = { ArrowLeft: "0", ArrowRight: "1" };

const form = document.querySelector("form[data-pair]");
for (const hint of document.querySelectorAll("[data-keys]")) hint.hidden = false;

if (form) {
  let sent = false;
  form.addEventListener("submit", (event) => {
    if (sent) event.preventDefault();
    sent = true;
  });
  sendChoice(form, document.querySelector("[data-away]"), { onSent: () => (sent = true) });
  // A page that the browser kept for its back button may be sent again; the server knows what it has.
  addEventListener("pageshow", () => (sent = false));
  document.addEventListener("keydown", (event) => {
    const side = SIDES[event.key];
    const typing = event.target.closest("input, textarea, select");
    if (!side || typing || event.altKey || event.ctrlKey || event.metaKey || event.repeat) return;
    event.preventDefault();
    form.requestSubmit(form.querySelector(`button[value="${side}"]`));
  });
}
