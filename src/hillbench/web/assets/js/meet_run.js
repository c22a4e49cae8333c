/* The start screen of a meet: a stopwatch for each lane, and entries that survive a lost network. */
import { Queue, ask, newKey } from "./clock_queue.js";

const RETRY_MS = 2000;
const form = document.getElementById("told");
const waits = document.getElementById("meet-waits");
const queue = new Queue("hillbench.meet.");
let busy = false;
let begun = 0;

function show(sentence, lines) {
  waits.hidden = !sentence;
  const text = document.createElement("p");
  text.textContent = sentence;
  waits.replaceChildren(text, ...lines);
}

function line(words, entry) {
  const box = document.createElement("p");
  const drop = document.createElement("button");
  drop.type = "button";
  drop.className = "button quiet small";
  drop.textContent = "Drop it";
  drop.addEventListener("click", () => { queue.drop(entry); tell(); });
  box.append(words, " ", drop);
  return box;
}

function tell() {
  const entries = queue.entries();
  const refused = entries.filter((entry) => entry.refused).map((entry) => line(`${entry.title}: ${entry.refused}`, entry));
  const waiting = entries.filter((entry) => !entry.refused);
  const sentence = waiting.length
    ? `${waiting.map((entry) => entry.title).join(", ")}: kept on this device, sent as soon as the laptop answers.`
    : refused.length ? "The laptop did not take this:" : "";
  show(sentence, refused);
}

/* One after the other, in order; what the laptop refuses steps aside with the reason. */
async function send() {
  if (busy) return;
  busy = true;
  let sent = false;
  try {
    for (let entry = next(); entry; entry = next()) {
      const waited_s = ((Date.now() - entry.since) / 1000).toFixed(1);
      const response = await ask(entry.address, [...entry.fields, ["waited_s", waited_s]]);
      if (response.ok) {
        queue.drop(entry);
        sent = true;
      } else if (response.status >= 500 || response.status === 429) {
        throw new Error(String(response.status));
      } else {
        queue.change(entry, { refused: reasonOf(await response.text()) });
      }
    }
    tell();
    if (sent && !queue.entries().length) location.reload();
  } catch {
    tell();
    setTimeout(send, RETRY_MS);
  } finally {
    busy = false;
  }
}

function next() {
  return queue.entries().find((entry) => !entry.refused);
}

function reasonOf(html) {
  const page = new DOMParser().parseFromString(html, "text/html");
  const reasons = [...page.querySelectorAll(".problems li, main .lead")].map((item) => item.textContent.trim());
  return reasons.slice(0, 3).join(" ") || "it cannot be used as it is.";
}

form?.addEventListener("submit", (event) => {
  if (event.submitter?.name === "confirmed") return;
  if (navigator.onLine && !queue.entries().length && !form.dataset.lost) return;
  event.preventDefault();
  keep(event.submitter);
});

function keep(submitter) {
  const fields = [...new FormData(form, submitter).entries()].filter(([, value]) => typeof value === "string");
  if (!fields.some(([name]) => name === "entry_key")) fields.push(["entry_key", newKey()]);
  queue.add({ address: form.getAttribute("action"), fields, title: `Heat ${form.dataset.heat}` });
  tell();
  send();
}

/* Whether the laptop answers is found out before a form is sent, not after it was lost. Where
   others have moved the meet on and nothing was typed here, the page follows them. */
async function probe() {
  if (!form) return;
  const live = form.getAttribute("action").replace(/\/run\/.*$/, "/board/live");
  try {
    const response = await ask(`${live}?seen=${form.querySelector("[name='seen']").value}`);
    delete form.dataset.lost;
    if (response.status === 200 && !isTouched()) location.reload();
  } catch {
    form.dataset.lost = "yes";
  }
}

function isTouched() {
  const typed = [...form.querySelectorAll("input[type='text'], textarea")].some((field) => field.value);
  const chosen = [...form.querySelectorAll("select")].some((field) => field.selectedIndex > 0);
  return typed || chosen || begun > 0 || queue.entries().length > 0 || document.querySelector("details[open]") !== null;
}
setInterval(probe, 4000);
for (const kind of ["online", "pageshow", "focus"]) addEventListener(kind, send);
tell();
send();

/* The stopwatch: one start for the heat, one stop for each lane. */
const watch = document.getElementById("watch");
const stops = form ? [...form.querySelectorAll(".stop")] : [];
if (watch && stops.length && form.querySelector(".lane-time[inputmode='decimal']")) {
  watch.hidden = false;
  watch.addEventListener("click", () => {
    begun = performance.now();
    watch.textContent = "Running: start again";
    for (const stop of stops) stop.hidden = false;
  });
  for (const stop of stops) {
    stop.addEventListener("click", () => {
      const field = form.querySelector(`[name="lane_${stop.dataset.lane}"]`);
      field.value = ((performance.now() - begun) / 1000).toFixed(2);
      stop.hidden = true;
    });
  }
}
