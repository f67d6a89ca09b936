// Enter in the name goes on to the placing; in the placing it keeps the card, as forms do by themselves.

const form = document.querySelector("[data-clerk]");
const { who, placing } = form.elements;

who.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || placing.value) return;
  event.preventDefault();
  placing.focus();
});
// After a refusal the placing is what has to be mended, unless nobody is named.
(who.value ? placing : who).focus();
