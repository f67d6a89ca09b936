// Hands in once: the button waits for the answer, and a second press is taken as the first.

import { answerOf, isComplete } from "./state.js";
import { leadsTo, post } from "./post.js";
import { forgetPage } from "../offline/others.js";
import { focusSlip } from "./saved.js";

const NOT_YET = { offline: "not-handed-in", failed: "hand-in-failed", "signed-out": "signed-out" };

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

  function stay(kind) {
    wait(false);
    if (kind in NOT_YET) tell(NOT_YET[kind]);
    focusSlip(root);
  }

  function done() {
    draft.drop();
    forgetPage(root.dataset.page);
    location.assign(root.dataset.result);
  }

  async function handIn() {
    wait(true);
    // Saved first, so that what another device has placed meanwhile is not written over unasked.
    saver.change(answerOf(board()));
    const saved = await saver.flush();
    if (saved !== "saved") return stay(saved);
    await saver.pause();
    form.elements.answer.value = JSON.stringify(answerOf(board()));
    const reply = await post(form.action, Object.fromEntries(new FormData(form)), root.dataset);
    if (reply.kind !== "reply") {
      // Only the reply may have been lost.
      if (await leadsTo(root.dataset.page, root.dataset.result)) return done();
      saver.resume();
      return stay(reply.kind);
    }
    // Refused: the server's own page says why.
    if (reply.path !== root.dataset.result) return form.submit();
    return done();
  }

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    if (sending) return;
    if (isComplete(board())) handIn();
    else form.querySelector("[data-missing]").focus();
  });
}
