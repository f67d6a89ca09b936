// The form of the hand: what is typed is kept on this device at once, and handed to the outbox to be sent.

import { keep, kept } from "./kept.js";
import { isUnderWay, send } from "./outbox.js";

const NOT_KEPT = new Set(["csrfmiddlewaretoken", "sitting"]);
const NUMBER = 'input[type="number"], input[inputmode="decimal"]';

function fill(form, entries) {
  const sent = new Map();
  for (const [name, value] of entries) sent.set(name, [...(sent.get(name) ?? []), value]);
  for (const field of form.elements) {
    if (!field.name || NOT_KEPT.has(field.name) || field.type === "submit") continue;
    const values = sent.get(field.name) ?? [];
    if (field.type === "radio" || field.type === "checkbox") field.checked = values.includes(field.value);
    else if (values.length) field.value = values.shift();
  }
  form.dispatchEvent(new Event("filled"));
}

export function hand(form) {
  const key = form.dataset.hand;
  const state = form.querySelector("[data-state]");
  const button = form.querySelector("[data-send]");
  const entries = () => [...new FormData(form)].filter(([name]) => !NOT_KEPT.has(name));

  function say(words, lost = false) {
    state.textContent = words;
    state.classList.toggle("save-state-lost", lost);
  }

  function begin() {
    keep(key, { sending: true, entries: entries() });
    send(key);
  }

  document.addEventListener("outbox", ({ detail }) => {
    if (detail.key !== key || !form.isConnected) return;
    const { lost, out, sending } = state.dataset;
    const words = { lost, out, sending }[detail.state] ?? detail.said;
    const isUp = detail.state === "in" || detail.state === "refused";
    if (isUp) button.removeAttribute("aria-busy");
    else button.setAttribute("aria-busy", "true");
    say(words, ["lost", "out", "refused"].includes(detail.state));
  });
  form.addEventListener("input", () => {
    // What is being sent stays as it was handed in.
    if (isUnderWay(key)) return;
    keep(key, { sending: false, entries: entries() });
    say(state.dataset.kept);
  });
  form.addEventListener("keydown", (event) => {
    if (event.key === "Enter" && event.target.matches(NUMBER)) event.preventDefault();
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    if (!isUnderWay(key)) begin();
  });

  const answer = kept(key);
  if (answer) {
    fill(form, answer.entries);
    if (answer.sending) send(key);
    else say(state.dataset.kept);
  } else if (crypto.randomUUID) form.elements.submission.value = crypto.randomUUID();
}
