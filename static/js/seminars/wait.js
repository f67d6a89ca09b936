// Counts the seconds in which answers may still arrive, then asks anew.

const line = document.querySelector("[data-wait]");
const began = performance.now();

setInterval(() => {
  const left = Math.ceil(line.dataset.wait - (performance.now() - began) / 1000);
  if (left <= 0) location.replace(location.pathname);
  else line.textContent = line.dataset.says.replace("%seconds%", left);
}, 1000);
