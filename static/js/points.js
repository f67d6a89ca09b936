// A point that is pressed says its text under the picture; without this the link leads to the text in the list.

for (const section of document.querySelectorAll("[data-points-of]")) {
  const said = section.querySelector("[data-point-said]");
  const points = [...section.querySelectorAll("a.point")];
  for (const point of points) {
    point.addEventListener("click", (event) => {
      event.preventDefault();
      const text = document.getElementById(point.getAttribute("href").slice(1));
      for (const other of points) other.removeAttribute("aria-current");
      point.setAttribute("aria-current", "true");
      said.textContent = `${points.indexOf(point) + 1}. ${text.textContent}`;
      said.hidden = false;
    });
  }
}
