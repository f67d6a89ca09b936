// Two devices have placed the same class: both placings are shown, and the person says which stays.

import { fill } from "./words.js";

export function listenToConflict(root, { armbands, rulingLabels, draft, saver }) {
  const slip = root.querySelector("[data-slip=conflict]");
  let version = 0;

  function inWords({ order = [], rulings = {} }) {
    const ruled = Object.entries(rulings).map(([dog, { ruling }]) => `${armbands[dog]} ${rulingLabels[ruling]}`);
    return [...order.map((dog) => armbands[dog]), ...ruled].join(", ") || slip.dataset.nothing;
  }

  slip.querySelector("[data-use=other]").addEventListener("click", () => {
    draft.drop();
    location.reload();
  });
  slip.querySelector("[data-use=mine]").addEventListener("click", () => saver.resume(version));

  // here, there: the two answers; from: the server's version, which "keep this one" replaces.
  return function ask(here, there, from) {
    version = from;
    for (const text of slip.querySelectorAll("[data-orders]")) {
      text.textContent = fill(text.dataset.orders, { here: inWords(here), there: inWords(there) });
    }
  };
}
