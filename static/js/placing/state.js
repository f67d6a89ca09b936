// The rules of the board, the same as in quizzes/kinds/placing/board.py: {dogs, places, order, rulings, handled}.
// Every move gives a new board; one that is not allowed gives the same board back.

const without = (list, dog) => list.filter((other) => other !== dog);

export function rows({ dogs, places, rulings }) {
  return Math.min(places || dogs.length, dogs.length - Object.keys(rulings).length);
}

export const isFull = (board) => board.order.length >= rows(board);

export function isComplete(board) {
  return isFull(board) && (board.order.length > 0 || Object.keys(board.rulings).length > 0);
}

export function inLine({ dogs, order, rulings }) {
  return dogs.filter((dog) => !order.includes(dog) && !(dog in rulings));
}

// The first free place.
export function place(board, dog) {
  if (!board.dogs.includes(dog) || board.order.includes(dog)) return board;
  const { [dog]: _lifted, ...rulings } = board.rulings;
  const freed = { ...board, rulings };
  return isFull(freed) ? board : { ...freed, order: [...board.order, dog] };
}

// Back into the line; the dogs below move up.
export function takeBack(board, dog) {
  return board.order.includes(dog) ? { ...board, order: without(board.order, dog) } : board;
}

// To a place, 1 for first; the others close up.
export function put(board, dog, to) {
  const { order } = board;
  if (!order.includes(dog) || !Number.isInteger(to) || to < 1 || to > order.length) return board;
  if (order[to - 1] === dog) return board;
  const others = without(order, dog);
  return { ...board, order: [...others.slice(0, to - 1), dog, ...others.slice(to - 1)] };
}

// One up (-1) or down (+1); at the end nothing changes.
export function move(board, dog, by) {
  return put(board, dog, board.order.indexOf(dog) + 1 + by);
}

// What is sent and stored; with the dogs gone over with the hand and the reasons, where the class asks for them.
export const answerOf = ({ order, rulings, handled, reasons }) => ({
  order,
  rulings,
  ...(handled && { handled }),
  ...(reasons && { reasons }),
});

export const sameRulings = (one, other) => words(one) === words(other);

export function sameAnswer(one, other) {
  return String(one.order ?? []) === String(other.order ?? []) && sameRulings(one.rulings, other.rulings);
}

function words(rulings = {}) {
  const entry = (dog) => [dog, rulings[dog].ruling, rulings[dog].reason ?? ""];
  return JSON.stringify(Object.keys(rulings).sort().map(entry));
}
