/* Points on a photo: clicked, dragged, moved with the arrow keys; the fields hold them. */
"use strict";

(() => {
  const SVG = "http://www.w3.org/2000/svg";
  const field = (name) => document.getElementById(`outline-${name}`);
  const photo = () => document.querySelector("[data-trace]");

  function read(name) {
    const found = [];
    for (const part of field(name).value.split(/[;\n]+/)) {
      const numbers = part.match(/-?\d+(?:\.\d+)?/g);
      if (numbers && numbers.length === 2) found.push(numbers.map(Number));
    }
    return found;
  }
  function write(name, points) {
    field(name).value = points.map(([x, y]) => `${Math.round(x)} ${Math.round(y)}`).join("\n");
    field(name).dispatchEvent(new Event("input", { bubbles: true }));
  }

  function element(name, attributes) {
    const made = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    return made;
  }
  const NAMES = { rear_px: "rear axle", front_px: "front axle", points_px: "point" };

  function draw(focus) {
    const picture = photo();
    if (!picture) return;
    picture.setAttribute("role", "group");
    const marks = picture.querySelector("[data-trace-marks]");
    const width = picture.viewBox.baseVal.width;
    marks.replaceChildren();
    const known = [...read("rear_px").slice(0, 1), ...read("front_px").slice(0, 1)];
    if (known.length === 2) {
      marks.append(element("line", { class: "trace-axis", x1: known[0][0], y1: known[0][1], x2: known[1][0], y2: known[1][1] }));
    }
    const corners = read("points_px");
    if (corners.length) {
      const ring = picture.dataset.trace === "above" ? [...corners, corners[0]] : corners;
      marks.append(element("polyline", { class: "trace-line", points: ring.map((one) => one.join(",")).join(" ") }));
    }
    for (const name of ["points_px", "rear_px", "front_px"]) {
      read(name).forEach(([x, y], index) => {
        const label = name === "points_px" ? `${NAMES[name]} ${index + 1}` : NAMES[name];
        const dot = element("circle", {
          class: name === "points_px" ? "trace-point" : "trace-point known", cx: x, cy: y,
          r: width / (name === "points_px" ? 110 : 90), tabindex: 0, role: "button",
          "aria-label": `${label}: arrow keys move it, Delete takes it out`,
          "data-point": `${name}:${index}`,
        });
        marks.append(dot);
        if (focus === `${name}:${index}`) dot.focus();
      });
    }
  }

  function place(event) {
    const picture = photo();
    const matrix = picture.getScreenCTM().inverse();
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix);
    const box = picture.viewBox.baseVal;
    return [Math.min(Math.max(at.x, 0), box.width), Math.min(Math.max(at.y, 0), box.height)];
  }
  function change(key, to) {
    const [name, index] = key.split(":");
    const points = read(name);
    if (to === null) points.splice(Number(index), 1);
    else points[Number(index)] = to;
    write(name, points);
  }

  let drag = null;
  let dragged = false;
  document.addEventListener("pointerdown", (event) => {
    const dot = event.target.closest?.("[data-point]");
    dragged = false;
    if (!dot) return;
    event.preventDefault();
    drag = { key: dot.dataset.point, id: event.pointerId };
  });
  document.addEventListener("pointermove", (event) => {
    if (!drag || event.pointerId !== drag.id) return;
    dragged = true;
    change(drag.key, place(event));
    draw();
  });
  document.addEventListener("pointerup", (event) => {
    if (!drag || event.pointerId !== drag.id) return;
    draw(drag.key);
    drag = null;
    dragged = true;
  });
  document.addEventListener("click", (event) => {
    if (!event.target.closest?.("[data-trace]") || event.target.closest("[data-point]") || dragged) return;
    const next = ["rear_px", "front_px"].find((name) => read(name).length === 0) ?? "points_px";
    write(next, [...read(next), place(event)]);
    draw();
    help();
  });
  document.addEventListener("keydown", (event) => {
    const dot = event.target.closest?.("[data-point]");
    if (!dot) return;
    const ways = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    const key = dot.dataset.point;
    if (event.key === "Delete" || event.key === "Backspace") {
      event.preventDefault();
      change(key, null);
      draw();
    } else if (event.key in ways) {
      event.preventDefault();
      const step = event.shiftKey ? 20 : 2;
      const [x, y] = ways[event.key];
      change(key, [Number(dot.getAttribute("cx")) + x * step, Number(dot.getAttribute("cy")) + y * step]);
      draw(key);
    }
  });
  document.addEventListener("input", (event) => {
    if (event.target.closest?.("#outline-form") && event.isTrusted) draw();
  });

  function help() {
    const line = document.querySelector("[data-trace-help]");
    if (!line || !photo()) return;
    const next = ["rear_px", "front_px"].find((name) => read(name).length === 0);
    if (next) line.textContent = `Click the ${NAMES[next]}.`;
    else line.textContent = photo().dataset.trace === "side"
      ? "Click along the underside of body and glass, from the rear to the front. Drag a point to move it."
      : "Click once around the inner wall. Drag a point to move it.";
  }
  document.addEventListener("htmx:afterSettle", (event) => {
    if (event.target.id === "outline-form") { draw(); help(); }
  });
  if (photo()) { draw(); help(); }
})();
