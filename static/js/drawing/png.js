// A drawing as PNG, made here from the SVG.

const WIDE = 1600;

async function picture(address) {
  const image = new Image();
  image.src = address;
  await image.decode();
  return image;
}

async function save(button) {
  const image = await picture(button.dataset.png);
  const canvas = document.createElement("canvas");
  canvas.width = WIDE;
  canvas.height = Math.round((WIDE * image.naturalHeight) / image.naturalWidth);
  const pen = canvas.getContext("2d");
  pen.fillStyle = "#fff";
  pen.fillRect(0, 0, canvas.width, canvas.height);
  pen.drawImage(image, 0, 0, canvas.width, canvas.height);
  const blob = await new Promise((done) => canvas.toBlob(done, "image/png"));
  const link = document.createElement("a");
  link.href = URL.createObjectURL(blob);
  link.download = button.dataset.name;
  link.click();
  URL.revokeObjectURL(link.href);
}

export function offerPng(root) {
  root.querySelector("[data-no-png]").hidden = true;
  for (const button of root.querySelectorAll("[data-png]")) {
    button.hidden = false;
    button.addEventListener("click", () => save(button));
  }
}
