// An answer is kept on this device until the server has acknowledged it, and is sent under one number made here:
// however often it arrives, it is stored once.

import { look } from "./poll.js";

const RETRY_MS = 2000;
const MOST_MS = 30000;
const PATIENCE_MS = 10000;
const HOURS = 48;
const NOT_KEPT = new Set(["csrfmiddlewaretoken", "sitting"]);

function quietly(access) {
  try {
    return access();
  } catch {
    return null;
  }
}

function fill(form, entries) {
  const sent = new Map();
  for (const [name, value] of entries) sent.set(name, [...(sent.get(name) ?? []), value]);
  for (const field of form.elements) {
    if (!field.name || NOT_KEPT.has(field.name)) continue;
    const values = sent.get(field.name) ?? [];
    if (field.type === "radio" || field.type === "checkbox") field.checked = values.includes(field.value);
    else if (values.length) field.value = values.shift();
  }
}

export function hand(form) {
  const key = `hand-${form.dataset.hand}`;
  const state = form.querySelector("[data-state]");
  const button = form.querySelector("button:not([type])");
  const entries = () => [...new FormData(form)].filter(([name]) => !NOT_KEPT.has(name));
  let tries = 0;
  let timer = 0;

  const keep = (sending) =>
    quietly(() => localStorage.setItem(key, JSON.stringify({ at: Date.now(), sending, entries: entries() })));
  const say = (words, lost = false) => {
    state.textContent = words;
    state.classList.toggle("save-state-lost", lost);
  };

  function wait() {
    say(state.dataset.lost, true);
    button.removeAttribute("aria-busy");
    tries += 1;
    const pause = Math.min(RETRY_MS * 2 ** (tries - 1), MOST_MS) * (0.7 + 0.6 * Math.random());
    timer = setTimeout(send, pause);
  }

  async function send() {
    clearTimeout(timer);
    if (!form.isConnected) return;
    keep(true);
    say(state.dataset.sending);
    button.setAttribute("aria-busy", "true");
    try {
      const response = await fetch(form.action, {
        method: "POST",
        body: new FormData(form),
        headers: { Accept: "application/json" },
        redirect: "error",
        signal: AbortSignal.timeout(PATIENCE_MS),
      });
      if (response.status >= 500 || response.status === 429) throw new Error("later");
      const answer = await response.json();
      button.removeAttribute("aria-busy");
      say(answer.said, !response.ok);
      if (response.ok || response.status === 409) {
        quietly(() => localStorage.removeItem(key));
        look();
      } else keep(false);
    } catch {
      wait();
    }
  }

  form.addEventListener("input", () => {
    keep(false);
    say(state.dataset.kept);
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    if (button.getAttribute("aria-busy") !== "true") send();
  });
  addEventListener("online", () => timer && send());

  const kept = quietly(() => JSON.parse(localStorage.getItem(key)));
  if (kept && Date.now() - kept.at < HOURS * 3600e3) {
    fill(form, kept.entries);
    say(state.dataset.kept);
    if (kept.sending) send();
  } else if (crypto.randomUUID) form.elements.submission.value = crypto.randomUUID();
}
