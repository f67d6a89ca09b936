// Sentences come translated from the page, with %name% where something is filled in.

export function fill(sentence, values) {
  return sentence.replace(/%(\w+)%/g, (whole, name) => values[name] ?? whole);
}

// The time as the person's device shows it.
export function timeNow() {
  const language = document.documentElement.lang || undefined;
  return new Date().toLocaleTimeString(language, { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
}
