/* Drag a decal to another place on its panel; without script its numbers are typed. */
"use strict";

(() => {
  const form = document.getElementById("move-form");
  const area = document.querySelector("[data-move]");
  if (!form || !area) return;
  let held = null;

  function placeOf(svg, event) {
    const point = new DOMPoint(event.clientX, event.clientY);
    return point.matrixTransform(svg.getScreenCTM().inverse());
  }

  area.addEventListener("pointerdown", (event) => {
    const piece = event.target.closest("[data-mark='piece']");
    if (!piece || event.button !== 0) return;
    event.preventDefault();
    const svg = piece.ownerSVGElement;
    held = { piece, svg, from: placeOf(svg, event), dx: 0, dy: 0 };
    piece.classList.add("moving");
    piece.setPointerCapture(event.pointerId);
  });

  area.addEventListener("pointermove", (event) => {
    if (!held) return;
    const at = placeOf(held.svg, event);
    held.dx = at.x - held.from.x;
    held.dy = at.y - held.from.y;
    held.piece.setAttribute("transform", `translate(${held.dx} ${held.dy})`);
  });

  function drop(keep) {
    if (!held) return;
    const { piece, dx, dy } = held;
    held = null;
    piece.classList.remove("moving");
    if (!keep || Math.hypot(dx, dy) < 2) {
      piece.removeAttribute("transform");
      return;
    }
    const scale = Number(piece.dataset.pxPerMm);
    const sent = {
      item: piece.dataset.item,
      place: piece.dataset.place,
      x_mm: (Number(piece.dataset.xMm) + dx / scale).toFixed(2),
      y_mm: (Number(piece.dataset.yMm) + dy / scale).toFixed(2),
    };
    // By namedItem, since the collection has a method of the name "item" itself.
    for (const [name, value] of Object.entries(sent)) form.elements.namedItem(name).value = value;
    form.submit();
  }
  area.addEventListener("pointerup", () => drop(true));
  area.addEventListener("pointercancel", () => drop(false));
})();
