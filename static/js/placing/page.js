// The placing page: starts from the board that the server rendered, and wires the parts together.

import { startClock } from "./clock.js";
import { listenToConflict } from "./conflict.js";
import { draftOf } from "./draft.js";
import { listenToDrag } from "./drag.js";
import { listenToHandIn } from "./hand-in.js";
import { saveBeforeLeaving } from "./leave.js";
import { listenToMoves } from "./moves.js";
import { listenToChoice } from "./overlay.js";
import { post } from "./post.js";
import { createSaver } from "./save.js";
import { saveState } from "./saved.js";
import { answerOf, put, sameAnswer, sameRulings } from "./state.js";
import { keepStripLow } from "./strip.js";
import { viewOf } from "./view.js";

const root = document.querySelector("[data-placing]");
const { version, armbands, ordinals, counts, rulingLabels, ...rendered } = JSON.parse(
  document.getElementById("ring-state").textContent,
);
let current = rendered;

const board = () => current;
const draft = draftOf(root.dataset.attempt);
const state = saveState(root);
const clock = startClock(root);
const view = viewOf(root, { armbands, ordinals, counts });
const saver = createSaver({ answer: answerOf(rendered), version, draft, send, tell });
const ask = listenToConflict(root, { armbands, rulingLabels, draft, saver });

async function send(answer, base) {
  const fields = { answer: JSON.stringify(answer), version: base };
  const reply = await post(root.dataset.save, fields, root.dataset);
  if (reply.kind !== "reply") return reply;
  const body = reply.text.startsWith("{") ? JSON.parse(reply.text) : null;
  if (!body) return { kind: "refused", invalid: false };
  const kinds = { 200: "stored", 409: body.handedIn ? "handed-in" : "conflict" };
  return { ...body, kind: kinds[reply.status] ?? "refused", invalid: !(reply.status in kinds) };
}

function tell(kind, reply = {}) {
  if (kind === "conflict") ask(answerOf(current), reply.answer, reply.version);
  state.show(kind, reply.savedAt ? { time: reply.savedAt } : {});
  if (kind !== "saved") return;
  if (reply.left !== undefined && reply.left !== null) clock.sync(reply.left);
  // The page was rendered with other rulings than those that were kept here.
  if (!sameRulings(current.rulings, rendered.rulings)) location.reload();
}

function change(next) {
  current = next;
  view.show(current);
  saver.change(answerOf(current));
}

// What this device has and the page doesn't show: it never reached the server, or reached it only
// after the page was rendered. It is sent again in either case, so that the server's word decides.
function goOn() {
  const earlier = draft.read();
  if (!earlier) return;
  const stored = answerOf(rendered);
  const late = earlier.version > version;
  if (!late && (earlier.saved || sameAnswer(earlier.answer, stored))) return draft.drop();
  const builds = earlier.version >= version || earlier.sent.some((answer) => sameAnswer(answer, stored));
  current = { ...rendered, ...earlier.answer };
  if (sameRulings(current.rulings, rendered.rulings)) view.show(current);
  if (!builds) saver.pause();
  saver.restore(earlier, builds && !late ? version : earlier.version);
  if (!builds) tell("conflict", { answer: stored, version });
}

const { apply } = listenToMoves(root, { armbands, ordinals, board, change });
listenToDrag(root, { drop: (dog, place) => apply(dog, put(current, dog, place)) });
listenToHandIn(root, { board, saver, draft, tell });
saveBeforeLeaving(root, saver);
keepStripLow(root);
listenToChoice(root, { armbands });
for (const button of root.querySelectorAll("[data-retry]")) button.addEventListener("click", () => saver.retry());
goOn();
