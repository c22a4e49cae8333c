/* Sliders that answer while they move, and curves that can be read under a finger. */
"use strict";

/* One question at a time, and the last position is always asked. */
const ASK_EVERY_MS = 70;
let askedAt = 0;
let waiting = 0;

function ask(form) {
  askedAt = performance.now();
  waiting = 0;
  form.dispatchEvent(new Event("tweak"));
}

document.addEventListener("input", (event) => {
  const slider = event.target;
  const form = slider.closest?.("#what-if");
  if (!form || slider.type !== "range") return;
  const step = Number(slider.dataset.step);
  slider.value = Math.round(slider.value / step) * step;
  const output = form.querySelector(`output[for="${slider.id}"]`);
  output.value = Number(slider.value).toFixed(Number(output.dataset.decimals));
  if (waiting) return;
  const wait = Math.max(0, askedAt + ASK_EVERY_MS - performance.now());
  waiting = setTimeout(ask, wait, form);
});

/* Reading a curve: a line under the pointer and one sentence above the picture. */
function numbers(text) {
  return text.split(" ").map(Number);
}

function readOut(picture, clientX) {
  const data = picture.dataset;
  const left = Number(data.leftPx);
  const right = Number(data.rightPx);
  const box = picture.getBoundingClientRect();
  const x = ((clientX - box.left) / box.width) * picture.viewBox.baseVal.width;
  const share = Math.min(1, Math.max(0, (x - left) / (right - left)));
  const places = numbers(data.atM);
  const index = Math.round(share * (places.length - 1));
  drawLine(picture, left + share * (right - left), Number(data.topPx), Number(data.bottomPx));
  const sentence = document.getElementById("trace-readout");
  sentence.dataset.before ??= sentence.textContent;
  sentence.textContent =
    `At ${(places[index] * Number(data.perM)).toFixed(2)} ${data.unit}: ${numbers(data.speedMS)[index].toFixed(2)} m/s, ` +
    `${numbers(data.timeS)[index].toFixed(2)} s after the start.`;
}

function drawLine(picture, x, top, bottom) {
  let line = picture.querySelector(".read-out-line");
  if (!line) {
    line = document.createElementNS("http://www.w3.org/2000/svg", "line");
    line.setAttribute("class", "read-out-line");
    picture.append(line);
  }
  line.setAttribute("x1", x);
  line.setAttribute("x2", x);
  line.setAttribute("y1", top);
  line.setAttribute("y2", bottom);
}

function stopReading(picture) {
  picture.querySelector(".read-out-line")?.remove();
  const sentence = document.getElementById("trace-readout");
  if (sentence.dataset.before) sentence.textContent = sentence.dataset.before;
}

for (const kind of ["pointermove", "pointerdown"]) {
  document.addEventListener(kind, (event) => {
    const picture = event.target.closest?.("svg[data-readout]");
    if (picture) readOut(picture, event.clientX);
  });
}
document.addEventListener("pointerout", (event) => {
  const picture = event.target.closest?.("svg[data-readout]");
  if (picture && !picture.contains(event.relatedTarget)) stopReading(picture);
});
