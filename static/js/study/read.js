// Tells the site how long a page was read and where in it its reader stopped. Seconds count while the page is in
// view and somebody has moved on it lately. What can't be told now is kept here and told later, once.

import { post } from "../placing/post.js";

const TICK_MS = 5000;
const STILL_READING_MS = 3 * 60 * 1000;
const LONGEST_SECONDS = 20 * 60;

const root = document.querySelector("[data-read]");
const prefix = `read-${document.documentElement.dataset.reader}-`;
const visit = crypto.randomUUID?.() ?? `${Date.now()}-${Math.random()}`.slice(0, 36);
const began = Date.now();
const sections = [...document.querySelectorAll(".lesson-section")];
const answers = {};
let seconds = 0;
let moved = performance.now();
let ticked = performance.now();

function tick() {
  const now = performance.now();
  const passed = Math.min(now - ticked, 2 * TICK_MS);
  ticked = now;
  const reading = document.visibilityState === "visible" && now - moved < STILL_READING_MS;
  if (reading) seconds = Math.min(seconds + passed / 1000, LONGEST_SECONDS);
}

// The last section that begins in the upper part of the window.
function sectionInView() {
  const line = innerHeight * 0.4;
  return sections.findLast((section) => section.getBoundingClientRect().top < line)?.id.replace("section-", "") ?? "";
}

function note() {
  tick();
  const { part, slug } = root.dataset;
  const fields = { part, slug, visit, seconds: Math.round(seconds), section: sectionInView(), answers };
  quietly(() => localStorage.setItem(prefix + visit, JSON.stringify({ to: root.dataset.read, began, fields })));
  tell();
}

// Everything that waits, this visit and earlier ones.
async function tell() {
  const waiting = quietly(() => Object.keys(localStorage).filter((key) => key.startsWith(prefix))) ?? [];
  for (const key of waiting) {
    const text = localStorage.getItem(key);
    if (!text) continue;
    const { to, began: at, fields } = JSON.parse(text);
    const ago = Math.max(Math.round((Date.now() - at) / 1000), 0);
    const told = await post(to, { ...fields, answers: JSON.stringify(fields.answers), ago }, root.dataset);
    if (told.kind !== "reply") return;
    // Read on meanwhile: what is new is told next time.
    if (localStorage.getItem(key) === text) localStorage.removeItem(key);
  }
}

function quietly(access) {
  try {
    return access();
  } catch {
    return null;
  }
}

// Answers to questions in passing: those chosen now are told, those chosen before are pointed out.
function listenToQuestions() {
  const before = JSON.parse(root.dataset.answers || "{}");
  for (const section of sections) {
    const name = section.id.replace("section-", "");
    [...section.querySelectorAll(".lesson-answers > details")].forEach((option, n) => {
      if (before[name]?.includes(n)) option.querySelector("summary").append(` (${root.dataset.chosen})`);
      option.addEventListener("toggle", () => {
        if (option.open) answers[name] = [...new Set([...(answers[name] ?? []), n])];
      });
    });
  }
}

for (const name of ["scroll", "pointermove", "pointerdown", "keydown"]) {
  addEventListener(name, () => (moved = performance.now()), { passive: true });
}
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "hidden") note();
  else ticked = moved = performance.now();
});
addEventListener("pagehide", note);
addEventListener("online", tell);
setInterval(tick, TICK_MS);
listenToQuestions();
tell();
