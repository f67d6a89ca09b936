// How many words a text has, counted as the server counts them (quizzes/kinds/critique/content.py).

const WORD = /[\p{L}\p{N}_]+(?:[-'’][\p{L}\p{N}_]+)*/gu;

export const countWords = (text) => (text.match(WORD) ?? []).length;
