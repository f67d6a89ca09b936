// The desk's pages: forms that save themselves, lists that are dragged into order, texts and points.

import { autosave } from "./autosave.js";
import { points } from "./points.js";
import { reorder } from "./reorder.js";
import { sum } from "./sum.js";
import { textTools } from "./text.js";

for (const form of document.querySelectorAll("form[data-autosave]")) autosave(form);
for (const list of document.querySelectorAll("[data-reorder]")) reorder(list);
for (const root of document.querySelectorAll("[data-text]")) textTools(root);
for (const picture of document.querySelectorAll("[data-pointed]")) points(picture);
for (const table of document.querySelectorAll("[data-sum]")) sum(table);

// After a row was moved the address names the arrow to go on with.
const arrow = document.getElementById(location.hash.slice(1));
if (arrow?.matches("button")) arrow.focus();
