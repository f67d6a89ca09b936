// The button that opens the browser's own printing; without this the browser's menu has it.

const button = document.querySelector("[data-print]");
button.addEventListener("click", () => print());
button.hidden = false;
