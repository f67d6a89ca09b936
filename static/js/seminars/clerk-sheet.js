// What a card of another kind than a placing needs while it is typed in.

import { sayLength } from "../critique/length.js";
import { putMarks } from "../eye/marks.js";
import { order } from "../examination/order.js";

const form = document.querySelector("[data-clerk]");
form.querySelectorAll("[data-ordinals]").forEach(order);
form.querySelectorAll("[data-marks]").forEach(putMarks);
if (form.querySelector("[data-count]")) sayLength(form);
