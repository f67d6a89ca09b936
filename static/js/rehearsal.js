// The examination on a timer: one step a screen, read aloud if wished, the screen kept awake while it runs.
// Without this script the page is the whole sequence in large type.

const root = document.querySelector("[data-rehearse]");
const steps = [...root.querySelectorAll("[data-step]")];
const controls = root.querySelector("[data-controls]");
const run = root.querySelector("[data-run]");
const telling = root.querySelector("[data-telling]");
const canSpeak = "speechSynthesis" in window;
let at = 0;
let running = false;
let timer = 0;
let lock = null;

function show(next) {
  at = Math.min(Math.max(next, 0), steps.length - 1);
  steps.forEach((step, n) => (step.hidden = n !== at));
  telling.textContent = steps[at].querySelector("h2").textContent;
  root.querySelector("[data-back]").disabled = at === 0;
  root.querySelector("[data-next]").disabled = at === steps.length - 1;
  speak();
  arm();
}

function speak() {
  if (!canSpeak) return;
  speechSynthesis.cancel();
  if (!running || !controls.elements.aloud.checked) return;
  const words = [...steps[at].querySelectorAll("h2, h2 ~ p")].map((part) => part.innerText).join(". ");
  const said = new SpeechSynthesisUtterance(words);
  said.lang = document.documentElement.lang;
  speechSynthesis.speak(said);
}

// The next step waits for the voice, too: nothing is cut off in the middle of a caution.
function arm() {
  clearTimeout(timer);
  const seconds = Number(controls.elements.pace.value);
  if (running && seconds) timer = setTimeout(onward, seconds * 1000);
}

function onward() {
  if (canSpeak && speechSynthesis.speaking) timer = setTimeout(onward, 500);
  else if (at < steps.length - 1) show(at + 1);
  else finish();
}

function finish() {
  setRunning(false);
  telling.textContent = telling.dataset.done;
  run.textContent = run.dataset.start;
  at = 0;
}

async function setRunning(now) {
  running = now;
  run.textContent = now ? run.dataset.pause : run.dataset.resume;
  root.querySelector("[data-before]").hidden = now || at > 0;
  if (!now) {
    clearTimeout(timer);
    if (canSpeak) speechSynthesis.cancel();
    await lock?.release().catch(() => null);
    lock = null;
    return;
  }
  show(at);
  lock = await navigator.wakeLock?.request("screen").catch(() => null);
}

run.addEventListener("click", () => setRunning(!running));
root.querySelector("[data-back]").addEventListener("click", () => show(at - 1));
root.querySelector("[data-next]").addEventListener("click", () => show(at + 1));
controls.addEventListener("change", arm);
controls.addEventListener("submit", (event) => event.preventDefault());
addEventListener("keydown", (event) => {
  if (event.target.closest("button, select, input, a")) return;
  const keys = { " ": () => setRunning(!running), ArrowRight: () => show(at + 1), ArrowLeft: () => show(at - 1) };
  if (!keys[event.key]) return;
  event.preventDefault();
  keys[event.key]();
});
// A caution is read before anything else: the page begins with it, and with the first step.
if (canSpeak) root.querySelector("[data-aloud]").hidden = false;
controls.hidden = false;
root.classList.add("rehearse-on");
show(0);
