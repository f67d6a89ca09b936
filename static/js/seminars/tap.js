// Numbers tapped in order write the placing into its field; a second tap takes one back.

const ENDINGS = { 1: "st", 2: "nd", 3: "rd" };
const place = (n) => `${n}${[11, 12, 13].includes(n % 100) ? "th" : (ENDINGS[n % 10] ?? "th")}`;

export function tap(form) {
  const box = form.querySelector("[data-tap]");
  const field = form.querySelector("[data-placing]");
  if (!box || !field) return;
  const buttons = [...box.querySelectorAll("[data-number]")];
  const said = box.querySelector("[data-order]");
  box.hidden = false;

  const known = new Set(buttons.map((one) => one.dataset.number));
  const order = () => [...new Set(field.value.split(/[^0-9]+/).filter((one) => known.has(one)))];

  function show() {
    const placed = order();
    for (const button of buttons) {
      const at = placed.indexOf(button.dataset.number);
      button.setAttribute("aria-pressed", String(at >= 0));
      button.querySelector("[data-place]").textContent = at < 0 ? "" : place(at + 1);
    }
    said.textContent = placed.length ? said.dataset.said.replace("%order%", placed.join(", ")) : said.dataset.none;
  }

  function write(placed) {
    field.value = placed.join("-");
    field.dispatchEvent(new Event("input", { bubbles: true }));
  }

  box.addEventListener("click", (event) => {
    const button = event.target.closest("[data-number]");
    if (event.target.closest("[data-tap-clear]")) return write([]);
    if (!button) return undefined;
    const placed = order();
    const number = button.dataset.number;
    return write(placed.includes(number) ? placed.filter((one) => one !== number) : [...placed, number]);
  });
  field.addEventListener("input", show);
  show();
}
