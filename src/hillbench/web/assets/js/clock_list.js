/* The list of outings: what waits on this phone goes in from here as well. */
import { Queue, Sender } from "./clock_queue.js";
import { showWaiting } from "./clock_waiting.js";

const place = document.getElementById("clock-waits");
const queue = new Queue();
const sender = new Sender(queue, { answered: () => {}, changed: show });

const acts = {
  confirm: (entry) => {
    const fields = { ...entry.fields, confirmed: entry.fields.note };
    queue.change(entry, { fields, refused: "" });
    sender.flush();
  },
  drop: (entry) => {
    queue.drop(entry);
    show();
  },
};

function show() {
  showWaiting(place, queue, sender.reached, acts);
}

sender.flush();
