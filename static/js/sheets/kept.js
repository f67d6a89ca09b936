// What is answered on a sheet is kept on this device until the server has it: a reload without a connection,
// a crash or an empty battery lose nothing.

const DAYS = 14;

function quietly(access) {
  try {
    return access();
  } catch {
    return null;
  }
}

const NO_ANSWER = ["csrfmiddlewaretoken", "version", "do"];
const isAnswer = ([name]) => !NO_ANSWER.includes(name);
const entriesOf = (form) => [...new FormData(form)].filter(isAnswer);

function fill(form, entries) {
  const sent = new Map();
  for (const [name, value] of entries) sent.set(name, [...(sent.get(name) ?? []), value]);
  for (const field of form.elements) {
    if (!field.name || !isAnswer([field.name])) continue;
    const values = sent.get(field.name) ?? [];
    if (field.type === "radio" || field.type === "checkbox") field.checked = values.includes(field.value);
    else field.value = values.shift() ?? "";
  }
}

export function keepAnswers(form) {
  const key = `sheet-${form.dataset.sheet}`;

  const drop = () => quietly(() => localStorage.removeItem(key));
  const keep = () =>
    quietly(() => localStorage.setItem(key, JSON.stringify({ at: Date.now(), entries: entriesOf(form) })));

  form.addEventListener("input", keep);
  form.addEventListener("kept", drop);
  const kept = quietly(() => JSON.parse(localStorage.getItem(key)));
  const same = kept && JSON.stringify(kept.entries) === JSON.stringify(entriesOf(form));
  if (!kept || same || Date.now() - kept.at > DAYS * 864e5 || form.dataset.unsaved !== undefined) return;
  fill(form, kept.entries);
  form.dispatchEvent(new CustomEvent("filled"));
  form.dispatchEvent(new Event("input"));
}
