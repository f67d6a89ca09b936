// Before the page is left for another of the class's pages, what is not saved yet is: the ruling pages
// work on the stored answer. Without a connection the page stays, and its slip says why.

import { focusSlip } from "./saved.js";

export function saveBeforeLeaving(root, saver) {
  async function after(event, go) {
    if (event.defaultPrevented || !saver.isPending()) return;
    event.preventDefault();
    if ((await saver.flush()) === "saved") go();
    else focusSlip(root);
  }

  root.addEventListener("click", (event) => {
    const link = event.target.closest("a[href]");
    const elsewhere = link?.target || event.ctrlKey || event.metaKey || event.shiftKey;
    if (!link || elsewhere || link.getAttribute("href").startsWith("#")) return;
    after(event, () => location.assign(link.href));
  });

  root.addEventListener("submit", (event) => {
    const { target, submitter } = event;
    after(event, () => target.requestSubmit(submitter));
  });

  for (const name of ["online", "visibilitychange", "pagehide"]) {
    addEventListener(name, () => saver.retry());
    document.addEventListener(name, () => saver.retry());
  }
  // A page brought back from the browser's memory may be older than the server's.
  addEventListener("pageshow", (event) => event.persisted && location.reload());
}
