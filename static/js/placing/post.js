// Posts a form as the page itself would, and tells apart what can come back.

const PATIENCE_MS = 10000;
const TOKEN = "csrfmiddlewaretoken";

const pathOf = (address) => new URL(address, location.href).pathname;

// One of {kind: "offline"}, {kind: "failed"} (the site has trouble of its own), {kind: "signed-out"},
// {kind: "reply", status, path, text}.
// login, page: addresses of signing in and of the class.
export async function post(address, fields, { login, page }) {
  try {
    let response = await send(address, fields);
    if (response.status === 403 && (await renewToken(login, page))) response = await send(address, fields);
    if (response.status === 403 || pathOf(response.url) === login) return { kind: "signed-out" };
    if (response.status >= 500 || response.status === 429) return { kind: "failed" };
    return { kind: "reply", status: response.status, path: pathOf(response.url), text: await response.text() };
  } catch {
    return { kind: "offline" };
  }
}

// Whether the address leads on to the other one now; false if that can't be found out.
export async function leadsTo(address, other) {
  try {
    const response = await fetch(address, { signal: AbortSignal.timeout(PATIENCE_MS) });
    return response.ok && pathOf(response.url) === other;
  } catch {
    return false;
  }
}

function send(address, fields) {
  const body = new FormData();
  for (const [name, value] of Object.entries(fields)) body.set(name, value);
  body.set(TOKEN, document.querySelector(`[name=${TOKEN}]`).value);
  // keepalive: a request that is on its way when the page is left still arrives.
  return fetch(address, { method: "POST", body, keepalive: true, signal: AbortSignal.timeout(PATIENCE_MS) });
}

// Signing in again elsewhere changes the token that forms carry. False if nobody is signed in.
async function renewToken(login, page) {
  const response = await fetch(page, { signal: AbortSignal.timeout(PATIENCE_MS) });
  if (pathOf(response.url) === login) return false;
  const parsed = new DOMParser().parseFromString(await response.text(), "text/html");
  const fresh = parsed.querySelector(`[name=${TOKEN}]`)?.value;
  if (!fresh) return false;
  for (const field of document.querySelectorAll(`[name=${TOKEN}]`)) field.value = fresh;
  return true;
}
