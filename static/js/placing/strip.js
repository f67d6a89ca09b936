// The strip takes at most a quarter of the screen's height: where it would be higher it is its head
// alone, and where that is too much as well it stays no longer at the foot.

const LARGEST_PART = 0.25;
const LOWER = ["strip-short", "strip-resting"];

export function keepStripLow(root) {
  const strip = root.querySelector(".strip");

  function fit() {
    strip.classList.remove(...LOWER);
    for (const lower of LOWER) {
      if (strip.offsetHeight > innerHeight * LARGEST_PART) strip.classList.add(lower);
    }
  }

  // Its own size changes with the reader's letters, too.
  new ResizeObserver(fit).observe(strip);
  addEventListener("resize", fit);
  fit();
}
