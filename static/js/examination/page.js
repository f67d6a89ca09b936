// The page of an examination: its steps are put in order on the page itself.

import { order } from "./order.js";

document.querySelectorAll("[data-order]").forEach(order);
