// Says where the answer stands: a few words in each copy of the save state, a slip that explains,
// and for the ear one live line that speaks only when the kind changes.

import { fill, timeNow } from "./words.js";

// For each outcome: the words of the save state (null leaves them), and the slip that goes with it.
const SHOWN = {
  saving: ["saving", null],
  saved: ["saved", null],
  offline: ["kept", "offline"],
  failed: ["kept", "failed"],
  "signed-out": ["kept", "signed-out"],
  "not-handed-in": [null, "not-handed-in"],
  "hand-in-failed": [null, "hand-in-failed"],
  "still-to-hand-in": ["saved", "still-to-hand-in"],
  unkept: ["lost", "lost"],
  refused: ["lost", "lost"],
  conflict: ["lost", "conflict"],
  "handed-in": ["lost", "handed-in"],
};

// Whoever has pressed "Hand in" in vain is told that it isn't handed in until it could be: for each
// outcome that comes meanwhile, what is shown instead.
const WANTED = ["not-handed-in", "hand-in-failed"];
const MEANWHILE = { offline: "not-handed-in", failed: "hand-in-failed", saved: "still-to-hand-in" };

export function saveState(root) {
  const copies = [...root.querySelectorAll("[data-save-state]")];
  const slips = [...root.querySelectorAll("[data-slip]")];
  const said = root.querySelector("[data-save-said]");
  let current = "saved";
  let since = "";

  function show(outcome, values = {}) {
    const kind = (WANTED.includes(current) && MEANWHILE[outcome]) || outcome;
    const troubled = SHOWN[current][1] !== null;
    // While something is wrong, trying again is not worth a word; only its outcome is.
    if (kind === "saving" && troubled) return;
    const [words, slip] = SHOWN[kind];
    if (slip && !troubled) since = timeNow();
    for (const copy of words ? copies : []) showOnly(copy.querySelectorAll("[data-kind]"), "kind", words);
    showOnly(slips, "slip", slip);
    fillIn(root, { since, ...values });
    if (kind !== current && kind !== "saving" && (troubled || slip)) said.textContent = spoken(copies[0], slips);
    current = kind;
  }

  return { show };
}

// Something was asked for that the trouble prevents: to where it is explained.
export function focusSlip(root) {
  root.querySelector("[data-slip]:not([hidden])")?.focus();
}

function showOnly(elements, name, wanted) {
  for (const element of elements) element.hidden = element.dataset[name] !== wanted;
}

function fillIn(root, values) {
  for (const element of root.querySelectorAll("[data-fill]")) {
    const names = element.dataset.fill.match(/%\w+%/g).map((name) => name.slice(1, -1));
    if (names.every((name) => name in values)) element.textContent = fill(element.dataset.fill, values);
  }
}

function spoken(copy, slips) {
  const words = copy.querySelector("[data-kind]:not([hidden])")?.textContent ?? "";
  const slip = slips.find((one) => !one.hidden)?.querySelector("p").textContent ?? "";
  return [words, slip].map((part) => part.replace(/\s+/g, " ").trim()).filter(Boolean).join(". ");
}
