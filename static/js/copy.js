// Copies what a field holds. The button is shown only here, where a script can do it; a line says that it is done.

async function copy(field) {
  field.select();
  try {
    await navigator.clipboard.writeText(field.value);
  } catch {
    document.execCommand("copy"); // without TLS there is no clipboard to write to
  }
}

for (const button of document.querySelectorAll("[data-copy]")) {
  const said = button.parentElement.querySelector("[role=status]");
  button.hidden = false;
  button.addEventListener("click", async () => {
    await copy(document.getElementById(button.dataset.copy));
    said.textContent = button.dataset.copied;
  });
}
