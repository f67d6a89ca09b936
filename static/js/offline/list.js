// On the page that is shown without a connection: what this device keeps, by the headings of the kept pages.

const STEADY_MS = 1500;

const root = document.querySelector("[data-kept-list]");

async function keptPages() {
  const found = [];
  for (const name of (await caches.keys()).filter((one) => one.startsWith("kept-"))) {
    const cache = await caches.open(name);
    for (const request of await cache.keys()) {
      const response = await cache.match(request, { ignoreVary: true });
      if (!response.headers.get("Content-Type")?.startsWith("text/html")) continue;
      const page = new DOMParser().parseFromString(await response.text(), "text/html");
      found.push({ url: new URL(request.url).pathname, title: page.title.replace(/ · [^·]*$/, "") });
    }
  }
  return found.sort((one, other) => one.url.localeCompare(other.url, undefined, { numeric: true }));
}

async function show() {
  const pages = await keptPages();
  const list = root.querySelector("ul");
  for (const { url, title } of pages) {
    const link = Object.assign(document.createElement("a"), { href: url, textContent: title, className: "button-text" });
    const row = document.createElement("li");
    row.append(link);
    list.append(row);
  }
  root.querySelector("[data-none]").hidden = pages.length > 0;
  root.querySelector("[data-some]").hidden = pages.length === 0;
}

document.querySelector("[data-again]").addEventListener("click", () => location.reload());
// A connection that comes and goes again is not worth a reload, nor one that would stop a link just pressed.
addEventListener("online", () => setTimeout(() => navigator.onLine && location.reload(), STEADY_MS));
if ("caches" in window) show();
