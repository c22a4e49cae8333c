/* A step at the bench: the clock of a wait runs down, and what is half typed is kept. */
"use strict";

for (const rest of document.querySelectorAll("[data-seconds-left]")) {
  const clock = rest.querySelector("[data-clock]");
  const began = performance.now(); // not the clock on the wall, which may be set
  const seconds = Number(rest.dataset.secondsLeft);
  const tick = () => {
    const left = Math.max(seconds - (performance.now() - began) / 1000, 0);
    const whole = Math.ceil(left);
    const parts = [Math.floor(whole / 60) % 60, whole % 60].map((part) => String(part).padStart(2, "0"));
    clock.textContent = `${Math.floor(whole / 3600)}:${parts.join(":")}`;
    if (left > 0) setTimeout(tick, 250);
    else location.reload();
  };
  if (seconds > 0) tick();
}

for (const form of document.querySelectorAll("form[data-draft]")) {
  const kept = form.querySelector("[data-kept]");
  let waiting = 0;
  let sent = "";
  const send = async () => {
    const typed = new URLSearchParams();
    for (const name of ["note", "readings_g", "scale_resolution_g"]) {
      const field = form.elements[name];
      if (field) typed.set(name, field.value);
    }
    if (typed.toString() === sent) return;
    try {
      const answer = await fetch(form.dataset.draft, { method: "POST", body: typed, keepalive: true });
      if (!answer.ok) throw new Error(answer.statusText);
      sent = typed.toString();
      kept.textContent = "What you typed is kept.";
    } catch {
      kept.textContent = "Not kept yet: the app does not answer.";
      clearTimeout(waiting);
      waiting = setTimeout(send, 3000);
    }
  };
  form.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = setTimeout(send, 500);
  });
  addEventListener("pagehide", () => { if (waiting) send(); });
  form.addEventListener("submit", () => {
    clearTimeout(waiting);
    waiting = 0; // the form itself brings it, and a draft after it would be out of date
  });
}
