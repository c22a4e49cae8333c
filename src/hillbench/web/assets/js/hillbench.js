/* What the pages gain where scripts run; every page works without. */
"use strict";

/* After htmx brought a form back with problems, lead the keyboard to them. */
document.addEventListener("htmx:afterSettle", (event) => {
  const problems = event.target.querySelector?.(".problems");
  if (problems) problems.focus();
});

/* Say what went wrong where htmx could not put an answer into the page. */
function tell(sentence) {
  const place = document.getElementById("messages");
  if (!place) return;
  const box = document.createElement("div");
  box.className = "message wrong-message";
  const text = document.createElement("p");
  text.textContent = sentence;
  box.append(text);
  place.replaceChildren(box);
}
document.addEventListener("htmx:sendError", () => {
  tell("The app does not answer: see whether it still runs, then try again. What you typed is still here.");
});
document.addEventListener("htmx:responseError", (event) => {
  const page = new DOMParser().parseFromString(event.detail.xhr.responseText, "text/html");
  const sentence = page.querySelector("main .lead");
  tell(sentence ? sentence.textContent : "The app could not do that. What you typed is still here.");
});

/* A form marked so is sent as soon as a choice in it changes. */
document.addEventListener("change", (event) => {
  const form = event.target.closest?.("form[data-send-on-change]");
  if (form) form.requestSubmit();
});

/* Where the ways on from a meet do not fit, show the one that is current. */
document.querySelector(".meet-tabs [aria-current]")?.scrollIntoView({ block: "nearest", inline: "center" });
