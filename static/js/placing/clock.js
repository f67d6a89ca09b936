// The clock: words, a rule, and a live line at five, two and one minutes. It takes nothing away at the end.

import { fill } from "./words.js";

const WARN_AT = [300, 120, 60];

export function startClock(root) {
  const clock = root.querySelector("[data-clock]");
  if (!clock) return { sync() {} };
  const { allowed, says, over, warns, warnsOne } = clock.dataset;
  const words = clock.querySelector("[data-clock-left]");
  const rule = clock.querySelector(".minute-rule-part");
  let ends = 0;
  let last = Number(clock.dataset.left);

  const left = () => Math.ceil((ends - performance.now()) / 1000);

  function warn(seconds) {
    const passed = (mark) => last > mark && seconds <= mark;
    const minutes = Math.ceil(seconds / 60);
    if (passed(0)) say(over);
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
    words.textContent = seconds > 0 ? fill(says, { minutes: Math.floor(shown / 60), seconds: shown % 60 }) : over;
    clock.querySelector("[data-clock-of]").hidden = seconds <= 0;
    clock.classList.toggle("clock-urgent", seconds < 60);
    rule.ownerSVGElement.classList.toggle("minute-rule-urgent", seconds < 60);
    rule.setAttribute("x1", 1000 - (1000 * shown) / (60 * Math.ceil(allowed / 60)));
  }

  // The server's word on what is left; a monotonic clock stands still while a phone sleeps.
  function sync(seconds) {
    ends = performance.now() + seconds * 1000;
    show();
  }

  sync(Number(clock.dataset.left));
  setInterval(show, 1000);
  return { sync };
}
