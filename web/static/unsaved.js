// What is not saved yet, kept in this browser: for one person, and never shown to another. A form or a tap has
// an entry under what it is for; the entry goes when it is saved, discarded, or three weeks old.
import { here } from "./sending.js";

const PERSON = document.body.dataset.person || "";
const MARK = "beforeflash unsaved ";
const MINE = `${MARK}${PERSON} `;
const KEPT_FOR = 21 * 24 * 3600 * 1000; // less than the server knows the key of what was sent
const TELLS_APART = ["at", "check", "gate", "id", "item", "module", "name", "note", "place", "result", "stop", "which"];

export function addressOf(form) {
  return new URL(form.getAttribute("action"), location.href); // a field may be called action
}

// Hidden fields tell forms to one address apart; what they carry of the page differs with each load.
export function idOf(form) {
  const fixed = [...form.elements].filter((one) => one.type === "hidden" && TELLS_APART.includes(one.name));
  return [addressOf(form).pathname, ...fixed.map((one) => `${one.name}=${one.value}`)].join(" ");
}

export function isSomebodys() {
  return PERSON !== "";
}

function parsed(text) {
  try { return JSON.parse(text); } catch { return null; }
}

// False where the browser keeps nothing, or no more.
export function keep(id, entry) {
  try {
    const name = document.title.split(" · ")[0];
    localStorage.setItem(MINE + id, JSON.stringify({ ...entry, name, page: here(), at: Date.now() }));
    return true;
  } catch { return false; }
}

export function kept(id) {
  try { return parsed(localStorage.getItem(MINE + id)); } catch { return null; }
}

export function drop(id) {
  try { localStorage.removeItem(MINE + id); } catch { /* then it was not kept either */ }
}

// This person's entries as [id, entry]; everybody's old ones are dropped on the way.
export function all() {
  const found = [];
  try {
    for (const key of Object.keys(localStorage).filter((one) => one.startsWith(MARK))) {
      const entry = parsed(localStorage.getItem(key));
      if (!entry || Date.now() - entry.at > KEPT_FOR) localStorage.removeItem(key);
      else if (key.startsWith(MINE)) found.push([key.slice(MINE.length), entry]);
    }
  } catch { /* a browser that keeps nothing */ }
  return found;
}

export function time(at) {
  const when = new Date(at);
  const clock = when.toLocaleTimeString("en-US", { hour: "numeric", minute: "2-digit" });
  const today = when.toDateString() === new Date().toDateString();
  return today ? clock : `${when.toLocaleDateString("en-US", { month: "short", day: "numeric" })}, ${clock}`;
}

// A sentence in the page with its buttons, [text, what it does] each.
export function note(sentence, ...buttons) {
  const place = document.createElement("p");
  place.className = "unsaved-note no-print";
  place.setAttribute("role", "status");
  const words = document.createElement("span");
  words.textContent = sentence;
  place.append(words, ...buttons.map(([text, press]) => {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = text;
    button.addEventListener("click", press);
    return button;
  }));
  return place;
}

// Tried again by itself when the connection is back, as long as this page is open.
const EVERY = 5000;
const waiting = new Map();
let timer = 0;

function tryAll() {
  if (document.visibilityState === "hidden") return;
  for (const retry of [...waiting.values()]) retry();
}

export function tryLater(id, retry) {
  waiting.set(id, retry);
  if (!timer) timer = setInterval(tryAll, EVERY);
}

export function tryNoMore(id) {
  waiting.delete(id);
  if (!waiting.size) { clearInterval(timer); timer = 0; }
}

addEventListener("online", tryAll);
