// A choice that can't be sent stays chosen on the page, and is sent when the server is there again.

const RETRY_MS = 3000;
const PATIENCE_MS = 10000;

export function sendChoice(form, line, { onSent }) {
  let timer = 0;

  async function send(body) {
    clearTimeout(timer);
    try {
      const signal = AbortSignal.timeout(PATIENCE_MS);
      const response = await fetch(form.action, { method: "POST", body, redirect: "manual", signal });
      if (response.status >= 500) throw new Error(response.status);
      // Also what was refused is told by the page itself, which asks for the pair that is next.
      onSent();
      location.assign(location.pathname);
    } catch {
      line.hidden = false;
      timer = setTimeout(send, RETRY_MS, body);
    }
  }

  form.addEventListener("submit", (event) => {
    if (event.defaultPrevented || !event.submitter) return;
    event.preventDefault();
    const body = new FormData(form);
    body.set(event.submitter.name, event.submitter.value);
    event.submitter.setAttribute("aria-busy", "true");
    send(body);
  });
}
