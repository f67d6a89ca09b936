// The page of a sheet to estimate by eye: landmarks are put on its pictures.

import { putMarks } from "./marks.js";

document.querySelectorAll("[data-marks]").forEach(putMarks);
