// The time left in an assessment: it counts by the server's word, speaks at few moments, and can be hidden.
// When it is up the page leads to the assessment, where the server says what stands.

const QUIET_MS = 4000;
const HIDDEN = "try-clock-hidden";

function quietly(access) {
  try {
    return access();
  } catch {
    return null;
  }
}

function start(clock) {
  const { says, minutes, minute, over, there } = clock.dataset;
  const words = clock.querySelector("[data-try-left]");
  const live = document.querySelector("[data-try-says]");
  const half = Math.round(clock.dataset.allowed / 120) * 60;
  const moments = [half, 300, 60].filter((at) => at < clock.dataset.allowed);
  // A page that the device kept is older than it looks; a monotonic clock stands still while a device sleeps.
  const keptAt = Number(document.documentElement.dataset.keptAt);
  const ends = Date.now() + clock.dataset.left * 1000 - (keptAt ? Date.now() - keptAt : 0);
  let last = Infinity;
  let timer = 0;

  const fill = (text, values) => text.replace(/%(\w+)%/g, (all, name) => values[name] ?? all);

  function speak(seconds) {
    if (!moments.some((at) => last > at && seconds <= at) || last === Infinity) return;
    const n = Math.ceil(seconds / 60);
    live.textContent = n === 1 ? minute : fill(minutes, { minutes: n });
  }

  function done() {
    clearInterval(timer);
    words.textContent = live.textContent = over;
    // A moment for the page's own saving; without a connection it stays, and what it holds is sent later.
    setTimeout(() => navigator.onLine && location.assign(there), QUIET_MS);
  }

  function show() {
    const seconds = Math.ceil((ends - Date.now()) / 1000);
    speak(seconds);
    last = seconds;
    if (seconds <= 0) return done();
    words.textContent = fill(says, { minutes: Math.floor(seconds / 60), seconds: seconds % 60 });
    return undefined;
  }

  const shown = clock.querySelector("input");
  shown.checked = !quietly(() => localStorage.getItem(HIDDEN));
  shown.addEventListener("change", () =>
    quietly(() => (shown.checked ? localStorage.removeItem(HIDDEN) : localStorage.setItem(HIDDEN, "1"))),
  );
  timer = setInterval(show, 1000);
  show();
}

for (const clock of document.querySelectorAll("[data-try-clock]")) start(clock);
