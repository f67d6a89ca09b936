// The desk's pages: forms that save themselves, lists that are dragged into order.

import { autosave } from "./autosave.js";
import { reorder } from "./reorder.js";

for (const form of document.querySelectorAll("form[data-autosave]")) autosave(form);
for (const list of document.querySelectorAll("[data-reorder]")) reorder(list);
