// A tapped result is saved at once, can be undone for 8 seconds, and says so when it could not be saved.
const UNDO_FOR = 8000;
let toast = null;
let timer = 0;

function say(text, buttonText, onPress) {
  hush();
  toast = document.createElement("div");
  toast.className = "toast no-print";
  toast.setAttribute("role", "status");
  const words = document.createElement("span");
  words.textContent = text;
  toast.append(words);
  if (buttonText) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = buttonText;
    button.addEventListener("click", onPress);
    toast.append(button);
  }
  document.body.append(toast);
}

// Only the result: what comes after it stands in small print on the same button.
function resultWord(button) {
  const copy = button.cloneNode(true);
  for (const small of copy.querySelectorAll("small")) small.remove();
  return copy.textContent.trim();
}

function hush() {
  clearTimeout(timer);
  if (toast) toast.remove();
  toast = null;
}

// The answer to a form is the renewed page; its <main> replaces ours, folds and focus kept.
function renew(html) {
  const fresh = new DOMParser().parseFromString(html, "text/html").querySelector("main");
  const old = document.querySelector("main");
  if (!fresh || !old) return false;
  const openFolds = [...old.querySelectorAll("details[id][open]")].map((fold) => fold.id);
  const focused = document.activeElement && document.activeElement.closest("[data-keep]");
  const kept = focused && focused.dataset.keep;
  const hadButton = document.activeElement && document.activeElement.value;
  old.replaceWith(fresh);
  for (const id of openFolds) {
    const fold = document.getElementById(id);
    if (fold) fold.open = true;
  }
  if (kept) {
    const place = fresh.querySelector(`[data-keep="${CSS.escape(kept)}"]`);
    const button = place && (place.querySelector(`button[value="${CSS.escape(hadButton || "")}"]`) || place.querySelector("button"));
    if (button) button.focus({ preventScroll: true });
  }
  return true;
}

async function send(action, body) {
  const answer = await fetch(action, { method: "POST", body, headers: { "X-Requested-With": "taps" } });
  if (answer.redirected && new URL(answer.url).pathname.startsWith("/sign-in")) {
    location.href = answer.url;
    return;
  }
  const html = await answer.text();
  const refused = !answer.ok && answer.status < 500 && html.includes("data-focus") && renew(html);
  if (!answer.ok && !refused) throw new Error(String(answer.status));
  if (!refused && !renew(html)) location.reload();
  return refused;
}

// A sentence that says why it was not saved stands in the page; it is read at once.
function showWhy() {
  hush();
  const why = document.querySelector("main [data-focus]");
  if (why) why.focus();
}

async function save(form, button, body) {
  const item = form.closest("[data-keep]");
  const before = item ? item.dataset.result || "" : "";
  const number = item ? item.dataset.number || "" : "";
  const name = item ? item.dataset.name || "" : "";
  const word = resultWord(button);
  button.disabled = true;
  say("Saving…");
  try {
    if (await send(form.action, body)) {
      showWhy();
      return;
    }
  } catch {
    button.disabled = false;
    button.classList.add("unsaved");
    say(`${word}: not saved`, "Retry", () => save(form, button, body));
    return;
  }
  const undo = new URLSearchParams(body);
  undo.set("result", before);
  undo.set("number", number);
  const said = body.get("number") || (body.get("result") ? word : "cleared");
  say(`${name ? `${name}: ` : ""}${said}`, "Undo", () => takeBack(form.action, undo));
  timer = setTimeout(hush, UNDO_FOR);
}

async function takeBack(action, body) {
  say("Undoing…");
  try {
    await send(action, body);
    hush();
  } catch {
    say("Undo: not saved", "Retry", () => takeBack(action, body));
  }
}

export function start() {
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!form.matches("form[data-tap]")) return;
    event.preventDefault();
    const body = new URLSearchParams(new FormData(form, event.submitter));
    save(form, event.submitter, body);
  });
}
