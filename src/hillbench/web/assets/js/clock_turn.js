/* Whose turn it is, also while runs wait: the order planned, less what each car has run. */

function* openTurns(plan, done) {
  const left = { ...done };
  const last = plan.turns.at(-1)[0];
  for (let round = 0; ; round += 1) {
    for (const [start, car, lane] of plan.turns) {
      if (left[car] > 0) left[car] -= 1;
      else yield { start: round * last + start, car, lane };
    }
  }
}

/* The next car, its lane, and the cars that start beside it. */
export function nextTurn(plan, waitingCars) {
  if (!plan.turns.length) return null;
  const done = { ...plan.done };
  for (const car of waitingCars) done[car] = (done[car] || 0) + 1;
  const open = openTurns(plan, done);
  const next = open.next().value;
  const beside = [];
  for (let turn = open.next().value; turn.start === next.start; turn = open.next().value) {
    beside.push(plan.names[turn.car]);
  }
  return { ...next, beside };
}

/* What was probably meant by a time far from the typical one; null for a likely one. */
const FAR = 3;
const SHIFTS = [0.001, 0.01, 0.1, 10, 100, 1000];
export function doubt(text, typical) {
  const time = Number(text.replace(",", "."));
  if (!typical || !(time > 0)) return null;
  const ratio = time / typical;
  if (ratio < FAR && ratio > 1 / FAR) return null;
  const meant = SHIFTS.map((shift) => time * shift).find((other) => other / typical < 1.5 && other / typical > 1 / 1.5);
  return { time, meant: meant ? meant.toFixed(2) : "" };
}
