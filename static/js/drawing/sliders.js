// A slider beside each number: both say the same, only the number is sent.

export function wireSliders(form) {
  for (const slider of form.querySelectorAll("[data-slider]")) {
    const number = slider.nextElementSibling;
    slider.hidden = false;
    slider.value = number.value;
    slider.addEventListener("input", () => {
      number.value = slider.value;
    });
    number.addEventListener("input", () => {
      slider.value = number.value;
    });
  }
}
