/* A plan in space, turned by dragging the picture; the controls below do the same. */
"use strict";

(() => {
  const DEGREES_PER_PX = 0.45;
  let drag = null;

  function set(input, value) {
    const low = Number(input.min);
    const high = Number(input.max);
    let kept = value;
    if (input.name === "turn") {
      const span = high - low;
      kept = ((((value - low) % span) + span) % span) + low;
    }
    input.value = String(Math.min(high, Math.max(low, kept)));
  }

  document.addEventListener("pointerdown", (event) => {
    const picture = event.target.closest?.("[data-turning] .picture");
    if (!picture) return;
    event.preventDefault();
    const form = picture.closest("[data-turning]").querySelector("form");
    drag = { id: event.pointerId, x: event.clientX, y: event.clientY, turn: Number(form.turn.value), tilt: Number(form.tilt.value) };
  });
  document.addEventListener("pointermove", (event) => {
    if (!drag || event.pointerId !== drag.id) return;
    const form = document.querySelector("[data-turning] form");
    if (!form) return;
    set(form.turn, drag.turn - (event.clientX - drag.x) * DEGREES_PER_PX);
    set(form.tilt, drag.tilt + (event.clientY - drag.y) * DEGREES_PER_PX);
    form.dispatchEvent(new Event("input", { bubbles: true }));
  });
  for (const name of ["pointerup", "pointercancel"]) {
    document.addEventListener(name, (event) => {
      if (drag && event.pointerId === drag.id) drag = null;
    });
  }
})();
