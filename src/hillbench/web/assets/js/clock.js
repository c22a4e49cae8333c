/* One outing beside the track: entries go to the phone first and from there to the app. */
import { Pad } from "./clock_pad.js";
import { Queue, Sender, ask, newKey } from "./clock_queue.js";
import { keepForReload } from "./clock_reload.js";
import { doubt, nextTurn } from "./clock_turn.js";
import { element, showWaiting } from "./clock_waiting.js";

const LOOK_EVERY_MS = 4000;
const SAME_TAP_MS = 600;
const page = document.getElementById("clock");
const form = document.getElementById("entry");
const field = form.elements.finish_time_s;
const meant = document.getElementById("entry-meant");
const turn = document.getElementById("clock-turn");
const waits = document.getElementById("clock-waits");
const address = `/clock/${page.dataset.outing}`;

const queue = new Queue();
const pad = new Pad(form, field);
const sender = new Sender(queue, { answered, changed });
let enteredAt = -SAME_TAP_MS;
let other = null; // the car and lane that the user chose instead of those planned

/* Entries of this outing that the app does not have yet. */
function waitingHere() {
  return queue.entries().filter((entry) => entry.address === `${address}/runs` && !entry.refused);
}

function enter(note, confirmed) {
  const finished = note === "clean" || note === "snag";
  const text = field.value.trim();
  if (finished && (!text || pad.startedAt)) {
    say(pad.startedAt ? "Stop the time first." : "Type the time first; a run without one is off track or no finish.");
    return;
  }
  const odd = finished && !confirmed ? doubt(text, Number(turn.dataset.typical)) : null;
  if (odd) {
    askWhatIsMeant(odd, note);
    return;
  }
  // A second tap finds no time in the field; without a time it would count twice.
  if (!finished && performance.now() - enteredAt < SAME_TAP_MS) return;
  if (!finished) enteredAt = performance.now();
  const fields = { note, car_id: chosen("car_id"), lane: chosen("lane"), how: pad.how };
  Object.assign(fields, { finish_time_s: finished ? text : "", entry_key: newKey(), begun: page.dataset.begun });
  for (const gate of pad.gates) fields[gate.name] = gate.value.trim();
  if (confirmed) fields.confirmed = note;
  other = null;
  queue.add({ address: `${address}/runs`, fields, told: toldRun(fields) });
  meant.hidden = true;
  pad.clear();
  changed();
  sender.flush();
}

function chosen(name) {
  return form.querySelector(`input[name="${name}"]:checked`)?.value ?? "";
}

function toldRun(fields) {
  const car = form.querySelector(`input[name="car_id"][value="${fields.car_id}"]`)?.dataset.car ?? "A car";
  const lane = fields.lane ? `, lane ${fields.lane}` : "";
  const time = fields.finish_time_s ? `${fields.finish_time_s} s` : fields.note;
  return `${car}${lane}: ${time}${fields.finish_time_s && fields.note === "snag" ? ", snag" : ""}`;
}

function say(sentence, ...buttons) {
  const row = element("div", "actions");
  row.append(...buttons);
  meant.replaceChildren(element("p", "", sentence), ...(buttons.length ? [row] : []));
  meant.hidden = false;
}

function askWhatIsMeant(odd, note) {
  const buttons = [];
  if (odd.meant) {
    buttons.push(choice(`It was ${odd.meant} s`, () => {
      field.value = odd.meant;
      enter(note, true);
    }));
  }
  buttons.push(choice(`Keep ${odd.time} s`, () => enter(note, true)));
  say(`${odd.time} s is far from the ${Number(turn.dataset.typical).toFixed(2)} s usual in this outing.`, ...buttons);
}

function choice(words, act) {
  const made = element("button", "button small", words);
  made.type = "button";
  made.addEventListener("click", act);
  return made;
}

/* The last run is taken back: from this phone where it still waits, else from the app. */
async function undo() {
  await sender.flight;
  const last = waitingHere().at(-1);
  if (last) {
    queue.drop(last);
    changed();
    return;
  }
  try {
    const fields = { undo_id: form.elements.undo_id?.value ?? "", begun: page.dataset.begun };
    const response = await ask(`${address}/undo`, fields);
    if (!response.ok) throw new Error(response.status);
    merge(await response.text(), true);
  } catch {
    say("The app does not answer, and the last run is in it already: undo it when the app is back.");
  }
  changed();
}

/* Put the parts that changed into the page. */
function merge(html, withMessages) {
  const fresh = new DOMParser().parseFromString(html, "text/html");
  for (const piece of fresh.querySelectorAll("[data-piece]")) {
    const old = document.getElementById(piece.id);
    for (const name of ["plan", "typical", "seen"]) {
      if (piece.dataset[name] !== undefined) old.dataset[name] = piece.dataset[name];
      else delete old.dataset[name];
    }
    old.replaceChildren(...piece.childNodes);
  }
  const messages = fresh.getElementById("messages");
  if (withMessages && messages) document.getElementById("messages").replaceChildren(...messages.childNodes);
  keepForReload();
}

/* More may wait behind the entry that was answered, so the turn is worked out anew. */
function answered(html, entry) {
  if (entry.address !== `${address}/runs`) return;
  merge(html, false);
  changed();
}

function changed() {
  showWaiting(waits, queue, sender.reached, acts);
  showTurn();
  const last = waitingHere().at(-1);
  const stored = form.elements.undo_id;
  const button = document.getElementById("undo");
  button.disabled = !last && !stored;
  button.setAttribute("aria-label", `Undo last${last || stored ? `: ${last?.told ?? stored.dataset.told}` : ""}`);
}

function showTurn() {
  const plan = JSON.parse(turn.dataset.plan);
  const next = nextTurn(plan, waitingHere().map((entry) => entry.fields.car_id));
  if (!next) return;
  choose("car_id", other?.car ?? String(next.car));
  choose("lane", other?.lane ?? next.lane ?? "");
  turn.querySelector(".other-turn").open ||= Boolean(other);
  turn.querySelector(".turn-word").textContent = next.beside.length ? `Next, beside ${next.beside.join(" and ")}` : "Next to run";
  showChosen();
}

function choose(name, value) {
  for (const option of form.querySelectorAll(`input[name="${name}"]`)) option.checked = option.value === value;
}

function showChosen() {
  const car = form.querySelector('input[name="car_id"]:checked');
  if (car) turn.querySelector(".turn-car").textContent = car.dataset.car;
  const lane = turn.querySelector(".turn-lane");
  if (lane) lane.textContent = `lane ${chosen("lane")}`;
}

const acts = {
  correct: (entry) => {
    queue.drop(entry);
    changed();
    other = { car: entry.fields.car_id, lane: entry.fields.lane };
    showTurn();
    field.value = entry.fields.finish_time_s;
    for (const gate of pad.gates) gate.value = entry.fields[gate.name] ?? "";
    field.focus();
  },
  confirm: (entry) => {
    queue.change(entry, { fields: { ...entry.fields, confirmed: entry.fields.note }, refused: "" });
    sender.flush();
  },
  drop: (entry) => {
    queue.drop(entry);
    changed();
  },
};

/* What another phone entered comes in by itself. */
async function look() {
  if (document.hidden || sender.flight || queue.entries().some((entry) => !entry.refused)) return;
  try {
    const seen = document.getElementById("clock-verdict").dataset.seen;
    const response = await ask(`${address}?seen=${seen}`);
    const html = response.status === 200 ? await response.text() : "";
    // An entry made while the app was answering is newer than the answer.
    if (html && !waitingHere().length) merge(html, false);
    sender.reached = response.ok;
  } catch {
    sender.reached = false;
  }
  changed();
}

form.addEventListener("submit", (event) => {
  event.preventDefault();
  if (event.submitter?.id === "undo") undo();
  else enter(event.submitter?.value || "clean", false);
});
turn.addEventListener("change", () => {
  other = { car: chosen("car_id"), lane: chosen("lane") };
  showChosen();
});
field.addEventListener("input", () => { meant.hidden = true; });
if (matchMedia("(pointer: fine)").matches) field.focus({ preventScroll: true });
setInterval(look, LOOK_EVERY_MS);
changed();
sender.flush();
keepForReload();
