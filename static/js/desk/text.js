// A text with buttons that set it, and beside it how it will read. The server renders it, as it will for readers.

const PAUSE_MS = 600;

export function textTools(root) {
  const area = root.querySelector("textarea");
  const form = area.form;
  const shown = root.querySelector("[data-shown]");
  const into = root.querySelector("[data-shown-text]");
  const tools = root.querySelector("[data-tools]");
  let timer = 0;
  tools.hidden = false;

  function replace(start, end, text, selectFrom, selectTo) {
    area.focus();
    area.setRangeText(text, start, end, "end");
    area.setSelectionRange(selectFrom, selectTo);
    area.dispatchEvent(new Event("input", { bubbles: true }));
  }

  function wrap(mark) {
    const { selectionStart: from, selectionEnd: to, value } = area;
    const inner = value.slice(from, to);
    replace(from, to, mark + inner + mark, from + mark.length, to + mark.length);
  }

  // Before each line that is touched by the selection; pressed again, it is taken away.
  function mark(begin) {
    const { selectionStart, selectionEnd, value } = area;
    const from = value.lastIndexOf("\n", selectionStart - 1) + 1;
    const end = value.indexOf("\n", selectionEnd);
    const to = end < 0 ? value.length : end;
    const lines = value.slice(from, to).split("\n");
    const marked = lines.every((line) => line.startsWith(begin));
    const text = lines.map((line) => (marked ? line.slice(begin.length) : begin + line)).join("\n");
    replace(from, to, text, from, from + text.length);
  }

  tools.addEventListener("click", (event) => {
    const button = event.target.closest("button");
    if (button?.dataset.wrap) wrap(button.dataset.wrap);
    if (button?.dataset.line) mark(button.dataset.line);
  });

  async function preview() {
    const body = new FormData();
    body.set("text", area.value);
    body.set("csrfmiddlewaretoken", form.elements.csrfmiddlewaretoken.value);
    try {
      const response = await fetch(form.dataset.preview, { method: "POST", body, redirect: "error" });
      if (!response.ok) return;
      // The server has cleaned it: words, lists, quotes, headings and links.
      into.innerHTML = await response.text();
      shown.hidden = false;
    } catch {
      shown.hidden = true;
    }
  }

  area.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(preview, PAUSE_MS);
  });
  if (area.value.trim()) preview();
}
