// The word below a cut follows the number that is typed, and so does the bracket beside it.

const key = document.getElementById("key");
const words = key?.dataset.cutWords?.split("|") ?? [];
const before = new Map();

function notched(cut) {
  const notches = Array.from({ length: cut }, (_, at) => `M11 ${at}.5H16`);
  return `M4 0H11V${cut || 1}H4${notches.join("")}`;
}

function follow(field) {
  const shown = field.closest(".cut").querySelector("[data-cut-word]");
  const bracket = field.closest(".key-band").querySelector(".key-bracket");
  if (!before.has(field)) before.set(field, shown.textContent);
  const cut = /^\d+$/.test(field.value.trim()) ? Number(field.value) : 0;
  const word = words[Math.min(cut, words.length) - 1];
  shown.textContent = word ? key.dataset.cutSays.replace("%word%", word) : before.get(field);
  if (cut > words.length) return;
  bracket.setAttribute("viewBox", `0 0 16 ${cut || 1}`);
  bracket.querySelector("path").setAttribute("d", notched(cut));
}

const isCut = (field) => field.name?.startsWith("cut-");

key?.addEventListener("input", ({ target }) => {
  if (isCut(target)) follow(target);
});

// The browser may have brought back what was typed before the page was loaded again.
addEventListener("pageshow", () => {
  const typed = [...(key?.querySelectorAll(".cut > input") ?? [])];
  for (const field of typed.filter((one) => one.value !== one.defaultValue)) follow(field);
});
