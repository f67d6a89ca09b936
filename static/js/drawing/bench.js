// The workbench: the dog is drawn anew while a control moves, and its address follows.

import { offerPng } from "./png.js";
import { wireSliders } from "./sliders.js";

const WAIT = 120;

const form = document.querySelector("[data-bench]");
const drawing = document.querySelector("[data-drawing]");
const telling = document.querySelector("[data-telling]");
let timer = 0;
let asking = null;

/** The query of the form without what is at the breed's own. */
function query() {
  const asked = new URLSearchParams(new FormData(form));
  for (const input of form.querySelectorAll("[data-own]")) {
    if (input.value === "" || Number(input.value) === Number(input.dataset.own)) asked.delete(input.name);
  }
  return asked;
}

/** The dog that is being drawn, so that the address leads back to it. */
function placed() {
  const place = form.elements.namedItem("for");
  return place ? `&${new URLSearchParams({ for: place.value })}` : "";
}

/** Waits until the pictures can be shown, so that nothing flickers. */
function ready(fresh) {
  const pictures = [...fresh.querySelectorAll("img")];
  return Promise.all(pictures.map((picture) => picture.decode().catch(() => {})));
}

function swap(fresh) {
  const wasOpen = [...drawing.querySelectorAll("details[data-open][open]")].map((one) => one.dataset.open);
  for (const one of fresh.querySelectorAll("details[data-open]")) one.open = wasOpen.includes(one.dataset.open);
  drawing.replaceChildren(...fresh.childNodes);
  const side = drawing.querySelector("[data-query]");
  history.replaceState(null, "", `${form.action}?${side.dataset.query}${placed()}`);
  telling.textContent = side.dataset.told;
  offerPng(drawing);
}

async function redraw() {
  asking?.abort();
  asking = new AbortController();
  const { signal } = asking;
  try {
    const reply = await fetch(`${form.action}?${query()}`, { signal, headers: { "HX-Request": "true" } });
    if (!reply.ok || reply.redirected) return form.submit();
    const fresh = document.createElement("div");
    fresh.innerHTML = await reply.text();
    await ready(fresh);
    if (!signal.aborted) swap(fresh);
  } catch (error) {
    if (error.name !== "AbortError") form.querySelector("[data-draw]").hidden = false;
  }
}

function soon() {
  clearTimeout(timer);
  timer = setTimeout(redraw, WAIT);
}

wireSliders(form);
offerPng(drawing);
form.querySelector("[data-draw]").hidden = true;
form.addEventListener("input", (event) => {
  // Another breed, ear or coat has other ranges: the page is made anew.
  if (event.target.name === "breed") form.requestSubmit();
  else soon();
});
form.addEventListener("submit", (event) => {
  for (const input of form.querySelectorAll("[data-own]")) {
    if (Number(input.value) === Number(input.dataset.own)) input.disabled = true;
  }
  if (event.submitter) event.submitter.ariaBusy = "true";
});
addEventListener("pageshow", () => {
  for (const input of form.querySelectorAll("[data-own]")) input.disabled = false;
});
