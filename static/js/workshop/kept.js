// Words that were typed into a form and not saved, kept on this device until they are: after a reload, a crash or
// an empty battery the page offers them again. Only words are kept, under the page and the person.

const DAYS = 7;
const PAUSE_MS = 400;

// Numbers are no words, and a cut is named by its place, which another pair may have taken.
const isWords = (field) =>
  field.name && field.inputMode !== "numeric" && (field.type === "textarea" || field.type === "text");
// As the server keeps words: without space around them, with one kind of line end.
const plain = (words) => words.replaceAll("\r\n", "\n").trim();
const fieldsOf = (form) => [...form.elements].filter(isWords);

function quietly(access) {
  try {
    return access();
  } catch {
    return null;
  }
}

export function keepWords(form) {
  const offer = document.getElementById("kept-words");
  if (!offer) return;
  const key = `words-${offer.dataset.person}-${location.pathname}`;
  let timer = 0;

  function read() {
    const kept = quietly(() => JSON.parse(localStorage.getItem(key)));
    return kept && Date.now() - kept.at < DAYS * 864e5 ? kept.words : {};
  }

  function drop() {
    clearTimeout(timer);
    quietly(() => localStorage.removeItem(key));
  }

  function keep() {
    const typed = fieldsOf(form).filter((field) => field.value !== field.defaultValue);
    if (!typed.length) return drop();
    const words = Object.fromEntries(typed.map((field) => [field.name, field.value]));
    return quietly(() => localStorage.setItem(key, JSON.stringify({ at: Date.now(), words })));
  }

  // What is there already, because it was saved after all, is not offered.
  function missing() {
    const words = read();
    return fieldsOf(form).filter((field) => words[field.name]?.trim() && plain(words[field.name]) !== plain(field.value));
  }

  function show() {
    const fields = missing();
    if (!fields.length) return drop();
    const words = read();
    const notice = offer.content.cloneNode(true).firstElementChild;
    notice.querySelector("ul").append(
      ...fields.map((field) => {
        const item = document.createElement("li");
        item.textContent = words[field.name].slice(0, 200);
        return item;
      }),
    );
    notice.querySelector("[data-bring-back]").addEventListener("click", () => {
      for (const field of fields) field.value = words[field.name];
      fields[0].dispatchEvent(new Event("input", { bubbles: true }));
      fields[0].focus();
      notice.remove();
    });
    notice.querySelector("[data-drop]").addEventListener("click", () => {
      drop();
      notice.remove();
    });
    return (form.closest("[data-kept-above]") ?? form).before(notice);
  }

  form.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(keep, PAUSE_MS);
  });
  form.addEventListener("kept", drop);
  addEventListener("pagehide", () => timer && keep());
  // What came back from the server unsaved stands in its fields already.
  if (form.dataset.unsaved !== "yes") show();
}
