// A term's meaning opens when the pointer rests on it, as it does on a tap or a key press without this.

const REST_MS = 350;

for (const term of document.querySelectorAll(".term[popovertarget]")) {
  const meaning = document.getElementById(term.getAttribute("popovertarget"));
  if (!meaning?.showPopover) continue;
  let timer = 0;
  let opened = false;
  term.addEventListener("pointerenter", (event) => {
    if (event.pointerType !== "mouse") return;
    timer = setTimeout(() => {
      if (meaning.matches(":popover-open")) return;
      meaning.showPopover();
      opened = true;
    }, REST_MS);
  });
  term.addEventListener("pointerleave", () => {
    clearTimeout(timer);
    if (opened) meaning.hidePopover();
    opened = false;
  });
}
