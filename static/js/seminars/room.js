// A page of the room: it follows by itself, its clock counts, its form keeps what is answered.

import { sayLength } from "../critique/length.js";
import { putMarks } from "../eye/marks.js";
import { order } from "../examination/order.js";
import { start } from "./clock.js";
import { hand } from "./hand.js";
import { sendAll } from "./outbox.js";
import "./poll.js";
import { tap } from "./tap.js";
import "./turn.js";

const begun = new WeakSet();

// A form that stays while the page around it follows the room is begun once.
function answer(form) {
  if (begun.has(form)) return;
  begun.add(form);
  form.querySelectorAll("[data-ordinals]").forEach(order);
  form.querySelectorAll("[data-marks]").forEach(putMarks);
  hand(form);
  tap(form);
  if (form.querySelector("[data-count]")) sayLength(form);
}

// What a kind of exercise needs comes with its first part, and stays for those that follow.
function styles() {
  for (const link of document.querySelectorAll('main link[rel="stylesheet"]')) {
    const has = document.head.querySelector(`link[href="${link.getAttribute("href")}"]`);
    if (has) link.remove();
    else document.head.append(link);
  }
}

function enhance() {
  styles();
  document.querySelectorAll("form[data-hand]").forEach(answer);
  start();
  sendAll();
}

enhance();
document.addEventListener("htmx:afterSwap", enhance);
