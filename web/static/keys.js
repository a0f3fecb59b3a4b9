// Single keys, as the list at the foot of every page names them; off where this browser was told so (WCAG 2.1.4).
const OFF = "beforeflash: single keys off";
const TYPED_IN = "textarea, select, [contenteditable], input:not([type=checkbox], [type=radio], [type=file])";
const ROWS = "main a.line-link, main :is(h2, h3, h4, th) > a";
const list = document.getElementById("keys");

function areOff() {
  try { return localStorage.getItem(OFF) === "yes"; } catch { return false; } // a browser that keeps nothing
}

// The key alone; nothing while somebody types, with a modifier, or where single keys are off.
export function single(event) {
  if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing || areOff()) return "";
  return event.target.closest(TYPED_IN) ? "" : event.key;
}

function walk(step) {
  const rows = [...document.querySelectorAll(ROWS)].filter((row) => row.checkVisibility());
  const at = rows.indexOf(document.activeElement);
  const next = rows[Math.max(0, Math.min(at + step, rows.length - 1))];
  if (next) next.focus();
}

function showList() {
  list.open = true;
  list.querySelector("summary").focus();
}

function press(event) {
  const key = single(event);
  if (!key) return;
  const link = list.querySelector(`[data-single="${CSS.escape(key)}"]`);
  const field = key === "/" && document.querySelector("main input[type=search]");
  if (key === "?") showList();
  else if ("jk".includes(key) && !document.querySelector("main.by-keys")) walk(key === "j" ? 1 : -1);
  else if (field && field.checkVisibility()) field.select();
  else if (link) link.click();
  else return;
  event.preventDefault();
}

// Turned off, it stays off in this browser until somebody turns it on.
function offerTheSwitch(button) {
  const tell = () => { button.textContent = areOff() ? "Turn single keys on" : "Turn single keys off"; };
  button.addEventListener("click", () => {
    if (areOff()) localStorage.removeItem(OFF);
    else localStorage.setItem(OFF, "yes");
    tell();
  });
  tell();
  button.hidden = false;
}

export function start() {
  if (!list) return;
  offerTheSwitch(list.querySelector("button"));
  document.addEventListener("keydown", press);
  list.addEventListener("keydown", (event) => { if (event.key === "Escape") list.open = false; });
}
