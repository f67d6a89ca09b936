// Has what is opened kept for reading without a connection, and says so where a page comes from the device.

const { worker } = document.querySelector("script[data-worker]").dataset;
const AHEAD = { headers: { "X-Ahead": "1" }, cache: "no-cache" };

// The first visit was over before anything could be kept: this page and its files are asked for once more.
async function keepThisOne() {
  await fetch(location.href.split("#")[0], AHEAD);
  const loaded = performance.getEntriesByType("resource").map((entry) => entry.name);
  for (const address of loaded.filter((name) => name.startsWith(location.origin))) await fetch(address, AHEAD);
}

async function begin() {
  const { serviceWorker } = navigator;
  if (!serviceWorker) return;
  const isFirst = !serviceWorker.controller;
  const standing = new Promise((done) => serviceWorker.addEventListener("controllerchange", done, { once: true }));
  await serviceWorker.register(worker, { scope: "/" });
  if (!isFirst) return;
  await standing;
  await keepThisOne();
  document.documentElement.dataset.keepsPages = "";
}

function sayIfKept() {
  const { keptAt } = document.documentElement.dataset;
  const notice = document.querySelector("[data-kept-notice]");
  if (!keptAt || !notice) return;
  const when = new Date(Number(keptAt));
  // English pages are written in British English, dates included.
  const language = document.documentElement.lang;
  const words = { dateStyle: "long", timeStyle: "short" };
  notice.querySelector("time").textContent = when.toLocaleString(language === "en" ? "en-GB" : language, words);
  notice.hidden = false;
}

sayIfKept();
// A device that keeps nothing, such as a private window, reads all the same.
begin().catch(() => {});
