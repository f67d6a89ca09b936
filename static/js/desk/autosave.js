// A form that is posted in the background a moment after the typing stops. The line beside its button says
// what is true: saved, not saved yet, or why not. Leaving with words that are not saved asks first.

const PAUSE_MS = 1500;
const RETRY_MS = 8000;
const PATIENCE_MS = 10000;

export function autosave(form) {
  const state = form.querySelector("[data-saved]");
  const version = form.elements.version;
  let timer = 0;
  let typed = 0;
  let kept = 0;
  let sending = null;
  let refused = false;

  const isDirty = () => kept < typed;
  // A file is sent with the button only, so one that was chosen is not saved before.
  const files = [...form.querySelectorAll("input[type=file]")];
  const holdsFile = () => files.some((field) => field.files.length);

  function sent() {
    const data = new FormData(form);
    for (const field of files) data.delete(field.name);
    return data;
  }

  function say(text, lost = false) {
    state.textContent = text;
    state.classList.toggle("save-state-lost", lost);
    state.classList.toggle("save-state-kept", !lost && !isDirty());
  }

  function later(pause) {
    clearTimeout(timer);
    timer = setTimeout(save, pause);
  }

  function changed() {
    typed += 1;
    if (!refused) say(state.dataset.dirty);
    later(PAUSE_MS);
  }

  async function save() {
    clearTimeout(timer);
    if (sending || !isDirty()) return sending;
    sending = send(typed);
    await sending;
    sending = null;
    if (isDirty() && !refused) later(PAUSE_MS);
    return undefined;
  }

  async function send(upTo) {
    try {
      const response = await fetch(form.action || location.pathname, {
        method: "POST",
        body: sent(),
        headers: { Accept: "application/json" },
        redirect: "error",
        signal: AbortSignal.timeout(PATIENCE_MS),
      });
      const answer = await response.json();
      refused = !response.ok;
      if (response.ok) {
        kept = upTo;
        version.value = answer.version;
        say(isDirty() || holdsFile() ? state.dataset.dirty : answer.said);
        if (!isDirty()) form.dispatchEvent(new CustomEvent("kept"));
      } else {
        say(answer.said, true);
      }
    } catch {
      say(state.dataset.lost, true);
      later(RETRY_MS);
    }
  }

  form.addEventListener("input", changed);
  form.addEventListener("focusout", () => isDirty() && later(0));
  addEventListener("online", save);
  let leaving = false;
  form.addEventListener("leaving", () => (leaving = true));
  form.addEventListener("submit", (event) => {
    clearTimeout(timer);
    if (event.defaultPrevented) return;
    // A save that is on its way would change the version under the one that is sent now.
    if (sending && !leaving) {
      event.preventDefault();
      const { submitter } = event;
      sending.then(() => form.requestSubmit(submitter));
      return;
    }
    leaving = true;
  });
  addEventListener("beforeunload", (event) => {
    if ((isDirty() || holdsFile()) && !leaving) event.preventDefault();
  });
}
