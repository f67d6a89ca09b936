// The armband above a dog's fields shows the number that is typed for it.

const form = document.getElementById("dogs");

form?.addEventListener("input", ({ target }) => {
  const band = target.name.endsWith("-armband") && target.closest("fieldset").querySelector("legend .armband");
  if (band) band.textContent = target.value.trim() || "?";
});
