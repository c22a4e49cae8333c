/* Keep-outs of a cavity dragged in the picture, or moved there with the arrow keys. */
"use strict";

(() => {
  const STEP_MM = 0.5;

  function field(number, column) {
    return document.getElementById(`cavity-keep_${column}_${number}`);
  }

  /* What was typed, in mm: a bare number is in the preferred unit, which stands behind each field. */
  function millimetresOfUnit() {
    const unit = document.querySelector("#cavity-form .entry-unit");
    return unit && unit.textContent.trim() === "in" ? 25.4 : 1;
  }

  function shift(number, alongMm, leftMm) {
    const unit = millimetresOfUnit();
    const digits = unit === 1 ? 1 : 3;
    for (const [column, by] of [["at", alongMm], ["side", leftMm]]) {
      const input = field(number, column);
      const now = input ? Number(input.value.replace("−", "-").replace(",", ".")) : NaN;
      if (Number.isNaN(now)) return false;
      input.value = String(Number((now + by / unit).toFixed(digits)));
    }
    field(number, "at").dispatchEvent(new Event("input", { bubbles: true }));
    return true;
  }

  function prepare(root) {
    for (const group of root.querySelectorAll("[data-cavity] [data-keep-out]")) {
      group.closest("svg").setAttribute("role", "group");
      group.setAttribute("tabindex", "0");
      group.setAttribute("role", "button");
      group.setAttribute("aria-label", `${group.dataset.name}: move with the arrow keys`);
    }
  }

  let drag = null;
  document.addEventListener("pointerdown", (event) => {
    const group = event.target.closest?.("[data-cavity] [data-keep-out]");
    if (!group) return;
    const picture = group.closest("[data-cavity]");
    const matrix = picture.getScreenCTM();
    if (!matrix) return;
    event.preventDefault();
    group.setPointerCapture(event.pointerId);
    group.classList.add("dragged");
    drag = { group, id: event.pointerId, x: event.clientX, y: event.clientY, perPx: 1 / matrix.a, perMm: Number(picture.dataset.pxPerMm) };
  });
  document.addEventListener("pointermove", (event) => {
    if (!drag || event.pointerId !== drag.id) return;
    const dx = (event.clientX - drag.x) * drag.perPx;
    const dy = (event.clientY - drag.y) * drag.perPx;
    drag.group.setAttribute("transform", `translate(${dx} ${dy})`);
  });
  document.addEventListener("pointerup", (event) => {
    if (!drag || event.pointerId !== drag.id) return;
    const along = ((event.clientX - drag.x) * drag.perPx) / drag.perMm;
    const left = -((event.clientY - drag.y) * drag.perPx) / drag.perMm;
    const { group } = drag;
    group.classList.remove("dragged");
    drag = null;
    const [alongMm, leftMm] = [Math.round(along * 10) / 10, Math.round(left * 10) / 10];
    const still = alongMm === 0 && leftMm === 0;
    if (still || !shift(group.dataset.keepOut, alongMm, leftMm)) group.removeAttribute("transform");
  });

  let returnTo = null;
  document.addEventListener("keydown", (event) => {
    const group = event.target.closest?.("[data-cavity] [data-keep-out]");
    const ways = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
    if (!group || !(event.key in ways)) return;
    event.preventDefault();
    const [along, left] = ways[event.key].map((way) => way * (event.shiftKey ? 5 : 1) * STEP_MM);
    returnTo = group.dataset.keepOut;
    shift(group.dataset.keepOut, along, left);
  });

  document.addEventListener("htmx:afterSettle", (event) => {
    prepare(document);
    if (returnTo === null) return;
    const again = event.target.querySelector?.(`[data-keep-out="${returnTo}"]`);
    if (again) again.focus();
    returnTo = null;
  });
  prepare(document);
})();
