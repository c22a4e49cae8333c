/* Entries that wait on this phone until the app has them: kept in order, sent one by one. */

const PREFIX = "hillbench.waiting.";
const ANSWER_WITHIN_MS = 8000;
const RETRY_FIRST_MS = 1000;
const RETRY_LATEST_MS = 10000;

/* A key that no other entry has; crypto.randomUUID is not there over plain http. */
export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/* One item of the storage for each entry, so that two tabs cannot overwrite each other's.
   Where the browser keeps nothing, entries live as long as the page, and `lasting` says so. */
export class Queue {
  constructor(prefix = PREFIX) {
    this.prefix = prefix;
    this.lasting = true;
    this.fleeting = new Map();
  }

  names() {
    const names = [...this.fleeting.keys()];
    try {
      for (let place = 0; place < localStorage.length; place += 1) {
        const name = localStorage.key(place);
        if (name.startsWith(this.prefix)) names.push(name);
      }
    } catch {
      this.lasting = false;
    }
    return names.sort();
  }

  entries() {
    return this.names().flatMap((name) => {
      try {
        return [{ ...JSON.parse(this.fleeting.get(name) ?? localStorage.getItem(name)), name }];
      } catch {
        return [];
      }
    });
  }

  add(entry) {
    const last = this.names().at(-1);
    const number = last ? Number(last.slice(this.prefix.length).split(".")[0]) + 1 : 1;
    const key = entry.fields.entry_key ?? newKey();
    const name = `${this.prefix}${String(number).padStart(9, "0")}.${key}`;
    this.keep(name, { ...entry, since: Date.now() });
  }

  keep(name, entry) {
    const text = JSON.stringify(entry);
    try {
      localStorage.setItem(name, text);
    } catch {
      this.lasting = false;
      this.fleeting.set(name, text);
    }
  }

  change(entry, changes) {
    const { name, ...kept } = entry;
    this.keep(name, { ...kept, ...changes });
  }

  drop(entry) {
    this.fleeting.delete(entry.name);
    try {
      localStorage.removeItem(entry.name);
    } catch {
      this.lasting = false;
    }
  }
}

/* Sends what waits, the oldest first, and tries again until the app has taken it. What the
   app refuses steps aside with the reason, so that it does not hold up the rest. */
export class Sender {
  constructor(queue, { answered, changed }) {
    this.queue = queue;
    this.answered = answered;
    this.changed = changed;
    this.reached = true;
    this.flight = null;
    this.wait = RETRY_FIRST_MS;
    this.timer = 0;
    for (const kind of ["online", "pageshow", "focus"]) addEventListener(kind, () => this.flush());
    addEventListener("storage", () => this.changed());
    document.addEventListener("visibilitychange", () => this.flush());
  }

  next(tried) {
    return this.queue.entries().find((entry) => !entry.refused && !tried.has(entry.name));
  }

  /* One at a time; an entry made meanwhile goes with the flight that is on its way. */
  flush() {
    this.flight ??= this.sendAll().finally(() => {
      this.flight = null;
      this.changed();
    });
    return this.flight;
  }

  async sendAll() {
    clearTimeout(this.timer);
    const tried = new Set();
    try {
      for (let entry = this.next(tried); entry; entry = this.next(tried)) {
        tried.add(entry.name);
        await this.send(entry);
        this.reached = true;
        this.wait = RETRY_FIRST_MS;
      }
    } catch {
      this.reached = false;
      this.timer = setTimeout(() => this.flush(), this.wait);
      this.wait = Math.min(2 * this.wait, RETRY_LATEST_MS);
    }
  }

  async send(entry) {
    const waited = Math.max(0, (Date.now() - entry.since) / 1000).toFixed(1);
    const response = await ask(entry.address, { ...entry.fields, waited_s: waited });
    if (response.status === 422) {
      this.queue.change(entry, { refused: reasonOf(await response.text()) });
    } else if (response.status === 404 || response.status === 409) {
      this.queue.change(entry, { elsewhere: true });
    } else if (response.ok) {
      const html = await response.text();
      this.queue.drop(entry);
      this.answered(html, entry);
    } else {
      throw new Error(`The app answered ${response.status}.`);
    }
  }
}

/* Ask the app for the live parts of a page; with fields, post them. */
export function ask(address, fields) {
  const options = { headers: { "HX-Request": "true" }, signal: AbortSignal.timeout(ANSWER_WITHIN_MS) };
  if (fields) Object.assign(options, { method: "POST", body: new URLSearchParams(fields) });
  return fetch(address, options);
}

function reasonOf(html) {
  const page = new DOMParser().parseFromString(html, "text/html");
  const reasons = [...page.querySelectorAll(".problems li")].map((item) => item.textContent.trim());
  return reasons.join(" ") || "The app cannot use this as it is.";
}
