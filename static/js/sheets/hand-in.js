// Handing in without a connection: the answers stay on the device, and are sent when it is back.

import { forgetPage } from "../offline/others.js";

const RETRY_MS = 6000;
const PATIENCE_MS = 10000;

export function handIn(form) {
  const state = form.querySelector("[data-saved]");
  const button = form.querySelector('button[value="hand-in"]');
  let timer = 0;
  // A page that only leads on to the next has nothing to hand in yet.
  if (!button) return;

  async function send() {
    clearTimeout(timer);
    const body = new FormData(form);
    body.set("do", "hand-in");
    try {
      const response = await fetch(form.action, {
        method: "POST",
        body,
        headers: { Accept: "application/json" },
        redirect: "error",
        signal: AbortSignal.timeout(PATIENCE_MS),
      });
      const answer = await response.json();
      if (answer.url) {
        form.dispatchEvent(new CustomEvent("kept"));
        form.dispatchEvent(new CustomEvent("leaving"));
        await forgetPage(location.pathname);
        location.assign(answer.url);
        return;
      }
      // The page itself says what is missing, and where.
      form.dispatchEvent(new CustomEvent("leaving"));
      form.requestSubmit(button);
    } catch {
      state.textContent = state.dataset.waiting;
      state.classList.add("save-state-lost");
      timer = setTimeout(send, RETRY_MS);
    }
  }

  let byHand = false;
  form.addEventListener("leaving", () => (byHand = true));
  form.addEventListener("submit", (event) => {
    if (byHand || event.submitter !== button || event.defaultPrevented) return;
    event.preventDefault();
    send();
  });
  addEventListener("online", () => timer && send());
}
