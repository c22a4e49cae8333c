/* The keys under the thumb, and the phone as a stopwatch. */

/* A press so soon after Stop was not meant to start the next run and lose this time. */
const REST_MS = 700;

export class Pad {
  constructor(form, field) {
    this.form = form;
    this.field = field;
    this.gates = [...form.querySelectorAll("[data-gate]")];
    this.target = field;
    this.measured = "";
    this.startedAt = 0;
    this.stoppedAt = -REST_MS;
    this.go = form.querySelector("#go");
    if (matchMedia("(pointer: coarse)").matches) for (const entry of [field, ...this.gates]) entry.inputMode = "none";
    form.addEventListener("focusin", ({ target }) => {
      if (target === field || this.gates.includes(target)) this.target = target;
    });
    form.querySelector("#clock-pad").addEventListener("click", (event) => this.press(event));
    form.querySelector("#how-timed").addEventListener("change", () => this.show());
    this.go.addEventListener("pointerdown", (event) => this.startOrStop(event));
    this.go.addEventListener("keydown", (event) => {
      if ((event.key === " " || event.key === "Enter") && !event.repeat) this.startOrStop(event);
    });
    this.show();
  }

  /* What the time in the field was taken with. */
  get how() {
    return this.measured && this.field.value === this.measured ? "phone" : "typed";
  }

  clear() {
    for (const entry of [this.field, ...this.gates]) entry.value = "";
    this.target = this.field;
    this.measured = "";
    if (!this.startedAt) this.label("Start", "as the car is let go");
  }

  show() {
    const byPhone = this.form.elements.how.value === "phone";
    this.form.classList.toggle("by-phone", byPhone);
    this.form.querySelector("#clock-stopwatch").hidden = !byPhone;
    this.form.querySelector("#clock-reaction").hidden = !byPhone;
    if (!byPhone) this.stopShowing();
  }

  press(event) {
    const key = event.target.closest("[data-key]")?.dataset.key;
    if (!key) return;
    const text = this.target.value;
    if (key === "back") this.target.value = text.slice(0, -1);
    else if (key !== "." || !/[.,]/.test(text)) this.target.value = (text + key).slice(0, 12);
    this.target.dispatchEvent(new Event("input", { bubbles: true }));
  }

  /* The time of the event itself, not of when the script came to it. */
  startOrStop(event) {
    event.preventDefault();
    if (this.startedAt) {
      this.measured = ((event.timeStamp - this.startedAt) / 1000).toFixed(2);
      this.stoppedAt = event.timeStamp;
      this.stopShowing();
      this.label("Start again", "leaves this time out");
      this.field.value = this.measured;
      this.field.dispatchEvent(new Event("input", { bubbles: true }));
      return;
    }
    if (event.timeStamp - this.stoppedAt < REST_MS) return;
    this.clear();
    this.field.dispatchEvent(new Event("input", { bubbles: true }));
    this.startedAt = event.timeStamp;
    this.go.classList.add("running");
    this.label("Stop", "as its nose meets the line");
    this.tick();
  }

  tick() {
    if (!this.startedAt) return;
    this.field.value = Math.max(0, (performance.now() - this.startedAt) / 1000).toFixed(1);
    requestAnimationFrame(() => this.tick());
  }

  stopShowing() {
    if (this.startedAt) this.field.value = "";
    this.startedAt = 0;
    this.go.classList.remove("running");
    this.label("Start", "as the car is let go");
  }

  label(word, hint) {
    const text = document.createElement("span");
    const small = document.createElement("small");
    small.textContent = hint;
    text.append(word, small);
    this.go.replaceChildren(text);
  }
}
