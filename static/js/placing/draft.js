// What is not on the server yet, kept on this device under its attempt.
// A record is {answer, version, sent}: the answer here, the server's version it builds on, and the
// answers that were sent since without hearing back.

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
