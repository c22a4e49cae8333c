/* The board asks for news by itself; where the app cannot be reached it says so, and goes on. */
"use strict";

document.addEventListener("htmx:afterOnLoad", () => document.body.classList.remove("out-of-reach"));
document.addEventListener("htmx:sendError", (event) => {
  if (!event.target.closest?.("#board")) return;
  document.body.classList.add("out-of-reach");
  event.stopImmediatePropagation();
}, true);
