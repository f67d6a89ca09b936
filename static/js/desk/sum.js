// What the weights add up to, while they are typed.

export function sum(table) {
  const total = table.querySelector("[data-total]");
  const fields = [...table.querySelectorAll("input[type=number]")];
  table.addEventListener("input", () => {
    total.textContent = fields.reduce((all, field) => all + (Number(field.value) || 0), 0);
  });
}
