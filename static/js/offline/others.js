// What this device keeps goes when it should: on every page, what is of another person, or of somebody who has
// signed out; after handing in, the page of the attempt.

export async function forgetOthers() {
  const { reader } = document.documentElement.dataset;
  if (reader === undefined || !("caches" in window)) return;
  const names = (await caches.keys()).filter((name) => name.startsWith("kept-"));
  for (const name of names) if (name !== `kept-${reader}`) await caches.delete(name);
}

// A page that is over, such as that of an attempt which was handed in, is kept no longer.
export async function forgetPage(address) {
  if (!("caches" in window)) return;
  const names = (await caches.keys()).filter((name) => name.startsWith("kept-"));
  for (const name of names) await (await caches.open(name)).delete(address, { ignoreVary: true });
}
