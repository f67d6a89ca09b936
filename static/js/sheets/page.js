// A sheet saves itself, keeps what the server has not heard yet, and is handed in when there is a connection.

import { autosave } from "../desk/autosave.js";
import { handIn } from "./hand-in.js";
import { keepAnswers } from "./kept.js";

for (const form of document.querySelectorAll("form[data-sheet]")) {
  handIn(form);
  autosave(form);
  keepAnswers(form);
}
