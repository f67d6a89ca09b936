// "Keep this module for the train": asks for every page of the module, with its pictures and files, so that the
// worker keeps them; counts aloud; takes them away again.

import { fill } from "../placing/words.js";

const root = document.querySelector("[data-take-along]");
const button = root.querySelector("[data-keep]");
const remove = root.querySelector("[data-forget]");
const bar = root.querySelector("[data-keep-progress]");
const said = root.querySelector("[data-keep-said]");
const cacheName = `kept-${document.documentElement.dataset.reader}`;
const AHEAD = { headers: { "X-Ahead": "1" }, cache: "no-cache" };

const isHere = (address) => address && new URL(address, location.href).origin === location.origin;

async function asked() {
  const response = await fetch(root.dataset.list);
  return (await response.json()).pages;
}

// The addresses that a page needs, pictures, style sheets and scripts, or that a script imports.
function needs(address, text) {
  if (address.endsWith(".js")) {
    const imported = [...text.matchAll(/from ?"(\.[^"]+)"/g)].map((found) => found[1]);
    return imported.map((name) => new URL(name, new URL(address, location.href)).pathname);
  }
  if (!text.trimStart().startsWith("<!DOCTYPE html")) return [];
  const page = new DOMParser().parseFromString(text, "text/html");
  const found = [...page.querySelectorAll("link[rel=stylesheet], link[rel=preload], script[src], img, source")];
  const addresses = found.flatMap((one) => [one.getAttribute("href"), one.getAttribute("src"), one.getAttribute("srcset")]);
  return addresses.filter(isHere);
}

async function keepAll() {
  const pages = await asked();
  const todo = [...pages];
  const known = new Set(todo);
  let done = 0;
  for (const address of todo) {
    try {
      const response = await fetch(address, AHEAD);
      if (response.status === 507) return tell("full");
      if (!response.ok) continue;
      const more = needs(address, await response.text()).filter((one) => !known.has(one));
      for (const one of more) known.add(one);
      todo.push(...more);
      done += 1;
    } catch {
      break;
    }
    show(done, todo.length);
  }
  if (done === todo.length) tell("kept", { of: pages.length });
  else tell("partly", { n: done, of: todo.length });
  remove.hidden = false;
}

function show(n, of) {
  bar.max = of;
  bar.value = n;
  said.textContent = fill(root.dataset.working, { n, of });
}

function tell(how, values = {}) {
  bar.hidden = true;
  said.textContent = fill(root.dataset[how], values);
}

async function forget() {
  const cache = await caches.open(cacheName);
  for (const address of await asked()) await cache.delete(address, { ignoreVary: true });
  remove.hidden = true;
  tell("gone");
}

async function start() {
  await navigator.serviceWorker.ready;
  const cache = await caches.open(cacheName);
  const isKept = async (address) => Boolean(await cache.match(address, { ignoreVary: true }));
  const pages = navigator.onLine ? await asked() : [];
  const there = await Promise.all(pages.map(isKept));
  if (pages.length && there.every(Boolean)) {
    tell("kept", { of: pages.length });
    remove.hidden = false;
  }
  root.hidden = false;
}

button.addEventListener("click", async () => {
  if (button.getAttribute("aria-busy") === "true") return;
  button.setAttribute("aria-busy", "true");
  bar.hidden = false;
  navigator.storage?.persist?.();
  await keepAll().catch(() => tell("full"));
  button.removeAttribute("aria-busy");
});
remove.addEventListener("click", forget);
if ("serviceWorker" in navigator && "caches" in window) start().catch(() => {});
