// Sends the chosen or dropped photographs one by one, each with a bar of its own and a line of what became of it.

const form = document.querySelector("form[data-upload]");
const part = (name) => document.querySelector(`[data-upload-${name}]`);
const input = form.querySelector("input[type=file]");
const state = part("state");

for (const hint of form.querySelectorAll("[data-needs-script]")) hint.hidden = false;
for (const hint of form.querySelectorAll("[data-without-script]")) hint.hidden = true;

function rowFor(file) {
  const row = part("file").content.firstElementChild.cloneNode(true);
  row.querySelector("[data-name]").textContent = file.name;
  row.querySelector("progress").setAttribute("aria-label", file.name);
  part("files").append(row);
  return row;
}

function answerOf(request) {
  try {
    return JSON.parse(request.response);
  } catch {
    return { error: part("lost").textContent };
  }
}

function send(file, row) {
  // Refused before it is sent, which saves somebody on a slow line minutes.
  if (file.size > Number(form.dataset.most)) return { error: part("large").textContent };
  const body = new FormData(form);
  body.delete(input.name);
  body.append(input.name, file);
  return new Promise((resolve) => {
    const request = new XMLHttpRequest();
    request.upload.addEventListener("progress", (event) => {
      row.querySelector("progress").value = (100 * event.loaded) / event.total;
    });
    request.addEventListener("loadend", () => resolve(answerOf(request)));
    request.open("POST", form.action);
    request.setRequestHeader("Accept", "application/json");
    request.send(body);
  });
}

function tell(row, answer) {
  row.querySelector("progress").hidden = true;
  if (answer.error) {
    row.classList.add("upload-file-refused");
    row.querySelector("[data-says]").textContent = answer.error;
    return;
  }
  const link = row.querySelector("[data-link]");
  const image = row.querySelector("img");
  link.href = answer.href;
  image.src = answer.image;
  link.hidden = image.hidden = false;
}

async function sendAll(files) {
  const rows = files.map(rowFor);
  let taken = 0;
  let bad = 0;
  for (const [at, file] of files.entries()) {
    const answer = await send(file, rows[at]);
    tell(rows[at], answer);
    if (answer.error) bad += 1;
    else taken += 1;
    const text = bad ? state.dataset.failed : state.dataset.text;
    state.textContent = text.replace("DONE", taken).replace("ALL", files.length).replace("BAD", bad);
  }
  if (taken) part("next").hidden = false;
}

form.addEventListener("submit", async (event) => {
  if (!input.files.length) return;
  event.preventDefault();
  const button = form.querySelector("button");
  button.disabled = true;
  await sendAll([...input.files]);
  input.value = "";
  button.disabled = false;
});

const drops = (event) => [...(event.dataTransfer?.types ?? [])].includes("Files");
addEventListener("dragover", (event) => {
  if (drops(event)) event.preventDefault();
});
addEventListener("drop", (event) => {
  if (!drops(event)) return;
  event.preventDefault();
  input.files = event.dataTransfer.files;
  form.requestSubmit();
});
