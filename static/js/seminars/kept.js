// What was answered, kept on this device until the server has acknowledged it; in the page alone where the device
// keeps nothing.

const PREFIX = "hand-";
const HOURS = 48;
const inPage = new Map();

function quietly(access) {
  try {
    return access();
  } catch {
    return null;
  }
}

export function keep(key, answer) {
  const text = JSON.stringify({ ...answer, at: Date.now() });
  inPage.set(PREFIX + key, text);
  quietly(() => localStorage.setItem(PREFIX + key, text));
}

export function kept(key) {
  const text = quietly(() => localStorage.getItem(PREFIX + key)) ?? inPage.get(PREFIX + key);
  const answer = text && quietly(() => JSON.parse(text));
  return answer && Date.now() - answer.at < HOURS * 3600e3 ? answer : null;
}

export function drop(key) {
  inPage.delete(PREFIX + key);
  quietly(() => localStorage.removeItem(PREFIX + key));
}

// The keys of answers that wait to be sent for this place, whatever class they are of.
export function waiting(place) {
  const stored = quietly(() => Object.keys(localStorage)) ?? [];
  const keys = [...new Set([...stored, ...inPage.keys()])].filter((key) => key.startsWith(PREFIX));
  return keys.map((key) => key.slice(PREFIX.length)).filter((key) => key.endsWith(`-${place}`) && kept(key)?.sending);
}
