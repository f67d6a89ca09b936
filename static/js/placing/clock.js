// The clock: words here and on the strip, a rule, and a live line at five, two and one minutes. It takes
// nothing away at the end. More time is asked for without leaving the place on the page.

import { post } from "./post.js";
import { fill } from "./words.js";

const WARN_AT = [300, 120, 60];

export function startClock(root) {
  const clock = root.querySelector("[data-clock]");
  if (!clock) return { sync() {} };
  const { says, warns, warnsOne } = clock.dataset;
  const words = [...root.querySelectorAll("[data-clock-left]")];
  const more = clock.querySelector("[data-more-time]");
  let ends = 0;
  let last = Number(clock.dataset.left);

  const left = () => Math.ceil((ends - performance.now()) / 1000);

  function warn(seconds) {
    const passed = (mark) => last > mark && seconds <= mark;
    const minutes = Math.ceil(seconds / 60);
    if (passed(0)) say(clock.querySelector("[data-clock-left]").dataset.over);
    else if (WARN_AT.some(passed)) say(minutes === 1 ? warnsOne : fill(warns, { minutes }));
  }

  function say(sentence) {
    clock.querySelector("[data-clock-says]").textContent = sentence;
  }

  function show() {
    const seconds = left();
    warn(seconds);
    last = seconds;
    const shown = Math.max(seconds, 0);
    const time = fill(says, { minutes: Math.floor(shown / 60), seconds: shown % 60 });
    for (const one of words) one.textContent = seconds > 0 ? time : one.dataset.over;
    clock.querySelector("[data-clock-of]").hidden = seconds <= 0;
    clock.classList.toggle("clock-urgent", seconds < 60);
    const rule = clock.querySelector(".minute-rule-part");
    rule.ownerSVGElement.classList.toggle("minute-rule-urgent", seconds < 60);
    rule.setAttribute("x1", 1000 - (1000 * shown) / (60 * Math.ceil(clock.dataset.allowed / 60)));
  }

  // The server's word on what is left; a monotonic clock stands still while a phone sleeps.
  function sync(seconds) {
    ends = performance.now() + seconds * 1000;
    show();
  }

  // The page that comes back has the new clock: its time, its rule, and how long it is in all.
  function take(fresh) {
    clock.dataset.allowed = fresh.dataset.allowed;
    for (const part of ["[data-clock-of]", "svg"]) clock.querySelector(part).replaceWith(fresh.querySelector(part));
    sync(Number(fresh.dataset.left));
    say(more.textContent.trim());
  }

  async function askForMore(event) {
    event.preventDefault();
    const reply = await post(more.action, {}, root.dataset);
    const page = new DOMParser().parseFromString(reply.text ?? "", "text/html");
    const fresh = page.querySelector("[data-clock]");
    if (fresh) take(fresh);
    else more.submit();
  }

  // The board beside the line begins below it, however many lines its words take.
  new ResizeObserver(() => root.style.setProperty("--clock", `${clock.offsetHeight}px`)).observe(clock);
  more.addEventListener("submit", askForMore);
  // A page that the device kept is older than it looks.
  const { keptAt } = document.documentElement.dataset;
  sync(Number(clock.dataset.left) - (Number(keptAt) ? (Date.now() - keptAt) / 1000 : 0));
  setInterval(show, 1000);
  return { sync };
}
