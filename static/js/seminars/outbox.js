// Sends answers until the server has acknowledged them, also when the page has gone on to the next class. Each has
// a number of its own: however often it arrives, it is stored once.

import { drop, keep, kept, waiting } from "./kept.js";
import { look } from "./poll.js";

const RETRY_MS = 2000;
const MOST_MS = 30000;
const PATIENCE_MS = 10000;

const under = new Map();

const box = () => document.querySelector("form[data-outbox]");

function tell(key, state, said = "") {
  document.dispatchEvent(new CustomEvent("outbox", { detail: { key, state, said } }));
}

function body(key, entries) {
  const data = new FormData(box());
  data.append("sitting", key.split("-")[0]);
  for (const [name, value] of entries) data.append(name, value);
  return data;
}

function later(key, state) {
  const one = under.get(key);
  one.tries += 1;
  tell(key, state);
  const pause = Math.min(RETRY_MS * 2 ** (one.tries - 1), MOST_MS) * (0.7 + 0.6 * Math.random());
  one.timer = setTimeout(() => post(key), pause);
}

async function post(key) {
  const answer = kept(key);
  const one = under.get(key);
  if (!answer?.sending || !box()) return under.delete(key);
  clearTimeout(one.timer);
  one.timer = 0;
  tell(key, "sending");
  try {
    const response = await fetch(box().action, {
      method: "POST",
      body: body(key, answer.entries),
      headers: { Accept: "application/json" },
      redirect: "manual",
      signal: AbortSignal.timeout(PATIENCE_MS),
    });
    if (response.type === "opaqueredirect" || response.status === 403) return later(key, "out");
    if (response.status >= 500 || response.status === 429) return later(key, "lost");
    const { said } = await response.json();
    if (response.ok || response.status === 409) {
      drop(key);
      tell(key, "in", said);
      look();
    } else {
      keep(key, { ...answer, sending: false });
      tell(key, "refused", said);
    }
    return under.delete(key);
  } catch {
    return later(key, "lost");
  }
}

// Begin to send an answer that is kept; once, however often it is asked for.
export function send(key) {
  if (under.has(key)) return;
  under.set(key, { tries: 0, timer: 0 });
  post(key);
}

export const isUnderWay = (key) => under.has(key);

// Answers of a class that the room has left behind, as when the connection was gone for long.
export function sendAll() {
  for (const key of waiting(box()?.dataset.outbox)) send(key);
}

function now() {
  for (const [key, one] of under) if (one.timer) post(key);
}

addEventListener("online", now);
document.addEventListener("visibilitychange", () => document.hidden || now());

// What is said of an answer whose form is not on the page any more.
document.addEventListener("outbox", ({ detail: { key, state, said } }) => {
  const line = document.querySelector("[data-outbox-said]");
  if (!line || document.querySelector(`[data-hand="${key}"]`)) return;
  const done = state === "in" || state === "refused";
  line.hidden = state === "sending" && line.hidden;
  if (state !== "sending") line.textContent = done ? `${line.dataset.sent} ${said}` : line.dataset.waiting;
});
