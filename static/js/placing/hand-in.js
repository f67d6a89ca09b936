// Hands in once: the button waits for the answer, and a second press is taken as the first.

import { answerOf, isComplete } from "./state.js";
import { post } from "./post.js";
import { focusSlip } from "./saved.js";

export function listenToHandIn(root, { board, saver, draft, tell }) {
  const form = root.querySelector("[data-hand-in]");
  const button = form.querySelector("button");
  const words = button.textContent;
  let sending = false;

  function wait(on) {
    sending = on;
    button.textContent = on ? button.dataset.waiting : words;
    button.setAttribute("aria-busy", on);
  }

  async function handIn() {
    wait(true);
    // The last save arrives first, so that nothing older comes after the hand-in.
    await saver.pause();
    form.elements.answer.value = JSON.stringify(answerOf(board()));
    const reply = await post(form.action, Object.fromEntries(new FormData(form)), root.dataset.login);
    if (reply.kind === "reply" && reply.path === root.dataset.result) {
      draft.drop();
      location.assign(root.dataset.result);
    } else if (reply.kind === "reply") {
      // Refused: the server's own page says why.
      form.submit();
    } else {
      wait(false);
      await saver.resume();
      tell(reply.kind === "offline" ? "not-handed-in" : reply.kind);
      focusSlip(root);
    }
  }

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    if (sending) return;
    if (isComplete(board())) handIn();
    else form.querySelector("[data-missing]").focus();
  });
}
