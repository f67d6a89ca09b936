// The sheet on which a critique is written: it saves itself, and says how many words it has.

import { autosave } from "../desk/autosave.js";
import { handIn } from "../sheets/hand-in.js";
import { keepAnswers } from "../sheets/kept.js";
import { sayLength } from "./length.js";

for (const form of document.querySelectorAll("form[data-critique]")) {
  handIn(form);
  autosave(form);
  sayLength(form);
  keepAnswers(form);
}
