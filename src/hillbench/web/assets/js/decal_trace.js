/* Click points on a photo; without script they are typed as numbers. */
"use strict";

(() => {
  const svg = document.getElementById("trace-picture");
  const form = document.getElementById("trace-form");
  if (!svg || !form) return;
  const known = form.elements.known_px;
  const corners = form.elements.points_px;
  const radius = svg.viewBox.baseVal.width / 160 + 2;
  svg.classList.add("live");
  document.querySelector(".trace-tools").hidden = false;

  function lines(field) {
    return field.value.split("\n").map((line) => line.trim()).filter(Boolean);
  }

  function draw() {
    svg.querySelectorAll("circle").forEach((dot) => dot.remove());
    for (const [field, line, style] of [[known, ".trace-known", "trace-known-end"], [corners, ".trace-area", "trace-corner"]]) {
      const points = lines(field).map((text) => text.split(/[\s,;]+/).map(Number)).filter((pair) => pair.length === 2 && pair.every(Number.isFinite));
      svg.querySelector(line).setAttribute("points", points.map((pair) => pair.join(",")).join(" "));
      for (const [x, y] of points) {
        const dot = document.createElementNS("http://www.w3.org/2000/svg", "circle");
        dot.setAttribute("class", style);
        dot.setAttribute("cx", x);
        dot.setAttribute("cy", y);
        dot.setAttribute("r", radius);
        svg.append(dot);
      }
    }
    const hint = document.getElementById("trace-hint");
    const left = 2 - lines(known).length;
    hint.textContent = left > 0 ? `Click ${left === 2 ? "the first" : "the second"} of two points whose distance you know.` : "Click the corners of the panel in order.";
  }

  svg.addEventListener("click", (event) => {
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
    const field = lines(known).length < 2 ? known : corners;
    field.value = [...lines(field), `${at.x.toFixed(1)} ${at.y.toFixed(1)}`].join("\n");
    draw();
  });

  form.addEventListener("click", (event) => {
    const action = event.target.dataset?.trace;
    if (!action) return;
    if (action === "clear") known.value = corners.value = "";
    else {
      const field = lines(corners).length ? corners : known;
      field.value = lines(field).slice(0, -1).join("\n");
    }
    draw();
  });
  form.addEventListener("input", draw);
  draw();
})();
