// Counts what is left by the server's word; the device's own clock may be wrong by an hour.

const SOON = 60;
let began = performance.now();

export function start() {
  began = performance.now();
  show();
}

function show() {
  for (const clock of document.querySelectorAll("[data-left]")) {
    const left = Math.max(Math.ceil(clock.dataset.left - (performance.now() - began) / 1000), 0);
    const values = { minutes: Math.floor(left / 60), seconds: left % 60 };
    const says = left ? clock.dataset.says : clock.dataset.over;
    clock.textContent = says.replace(/%(\w+)%/g, (all, name) => values[name] ?? all);
    clock.classList.toggle("room-clock-soon", left < SOON);
  }
}

setInterval(show, 1000);
