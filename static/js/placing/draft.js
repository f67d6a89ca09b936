// The latest answer of this device, kept here under its attempt.
// A record is {answer, version, sent, saved}: the answer here, the server's version it builds on, the
// answers that were sent since without hearing back, and whether the server has it. One that is saved
// is kept as well: a page that was on its way meanwhile shows what the server had before.

export function draftOf(attempt) {
  const key = `placing-${attempt}`;
  return {
    read: () => quietly(() => JSON.parse(localStorage.getItem(key))),
    // False where the device keeps nothing (a private window, a full store).
    keep: (record) => quietly(() => localStorage.setItem(key, JSON.stringify(record)) === undefined) ?? false,
    drop: () => quietly(() => localStorage.removeItem(key)),
  };
}

function quietly(access) {
  try {
    return access();
  } catch {
    return null;
  }
}
