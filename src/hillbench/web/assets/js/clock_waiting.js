/* What waits on this phone, told in one line, with what each entry says. */

export function showWaiting(place, queue, reached, acts) {
  const entries = queue.entries();
  const refused = entries.filter((entry) => entry.refused);
  const waiting = entries.filter((entry) => !entry.refused);
  place.replaceChildren();
  place.hidden = !(refused.length || (waiting.length && !reached) || waiting.some(isElsewhere) || !reached);
  if (place.hidden) return;
  const parts = [];
  if (waiting.length) {
    const more = element("details", "");
    more.append(element("summary", "", tell(waiting.length, reached)), list(waiting, acts));
    parts.push(more);
  } else if (!reached) {
    parts.push(element("p", "", "The app does not answer. Go on: runs entered now wait on this phone."));
  }
  if (waiting.length && !queue.lasting) {
    parts.push(element("p", "wrong", "This browser keeps nothing: leave the page open until they are in."));
  }
  if (refused.length) parts.push(list(refused, acts));
  place.append(...parts);
}

function isElsewhere(entry) {
  return Boolean(entry.elsewhere);
}

function tell(count, reached) {
  const runs = count === 1 ? "1 run waits on this phone" : `${count} runs wait on this phone`;
  return reached ? `${runs}.` : `${runs} and ${count === 1 ? "goes" : "go"} in when the app answers.`;
}

function list(entries, acts) {
  const made = element("ul", "");
  for (const entry of entries) {
    const item = element("li", entry.refused ? "refused" : "", entry.told);
    if (entry.refused) item.append(element("p", "why", entry.refused));
    if (entry.elsewhere) item.append(element("p", "why", "Its outing is not in the bench book that is open now."));
    if (entry.refused && acts.correct) item.append(button("Correct it", () => acts.correct(entry)));
    if (entry.refused && entry.refused.includes("confirm it")) {
      item.append(button("Keep it all the same", () => acts.confirm(entry)));
    }
    if (entry.refused || entry.elsewhere) item.append(button("Throw it away", () => acts.drop(entry)));
    made.append(item);
  }
  return made;
}

function button(words, act) {
  const made = element("button", "button small", words);
  made.type = "button";
  made.addEventListener("click", act);
  return made;
}

export function element(tag, name, words) {
  const made = document.createElement(tag);
  if (name) made.className = name;
  if (words) made.textContent = words;
  return made;
}
