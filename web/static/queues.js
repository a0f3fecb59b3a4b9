// A queue by keyboard: j and k walk, the letter on a button or link does it for the item in hand.
import { single } from "./keys.js";
import { leave, left } from "./sending.js";

const WHERE = `queue at ${location.pathname}`;
const items = [...document.querySelectorAll("[data-item]")];
let at = Math.min(Number(left(WHERE)), items.length - 1);

function hold(index) {
  if (!items.length) return;
  at = Math.max(0, Math.min(index, items.length - 1));
  leave(WHERE, String(at));
  for (const item of items) item.removeAttribute("aria-current");
  items[at].setAttribute("aria-current", "true");
  items[at].focus({ preventScroll: true });
  items[at].scrollIntoView({ block: "nearest" });
}

// What asks for a line first: the field takes it, and Enter does what was asked.
function act(thing) {
  const form = thing.closest("form");
  const line = form && form.querySelector("input[data-key]");
  if (thing.matches("input")) { thing.focus(); return; }
  if (thing.hasAttribute("data-needs-line") && line && !line.value.trim()) {
    form.dataset.enter = thing.dataset.key;
    line.focus();
    return;
  }
  thing.click();
}

function inField(event, field) {
  if (event.key === "Escape") { field.blur(); hold(at); }
  if (event.key !== "Enter" || !field.matches("input[data-key]")) return;
  event.preventDefault();
  const buttons = field.form.querySelectorAll("button[data-key]");
  const asked = field.form.dataset.enter || (buttons.length === 1 && buttons[0].dataset.key);
  const button = asked && field.form.querySelector(`[data-key="${CSS.escape(asked)}"]`);
  if (button && field.value.trim()) button.click();
  else { field.blur(); hold(at); }
}

document.addEventListener("keydown", (event) => {
  const field = event.target.closest("input, textarea, select");
  if (field && !event.ctrlKey && !event.metaKey && !event.altKey) inField(event, field);
  const key = single(event);
  if (key === "j" || key === "k") { hold(at + (key === "j" ? 1 : -1)); return; }
  const queue = /^[1-9]$/.test(key) && document.querySelector(`[data-queue="${key}"]`);
  if (queue) { queue.click(); return; }
  if (key.length !== 1 || !items.length) return;
  const thing = items[at].querySelector(`[data-key="${CSS.escape(key)}"]`);
  if (thing) { event.preventDefault(); act(thing); }
});

document.querySelector("main").classList.add("by-keys");
for (const told of document.querySelectorAll("[data-keys]")) told.hidden = false;
hold(at);
