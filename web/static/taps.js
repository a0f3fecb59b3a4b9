// A tapped result is saved at once, can be undone beside the renewed step, and says so when it could not be saved.
import { onEveryMain, placeOf, renew } from "./renewed.js";
import { SIGNED_OUT, here, post, signIn } from "./sending.js";
import { fade, hush, sayAt } from "./toast.js";
import { addressOf, all, drop, idOf, keep, note, time, tryLater, tryNoMore } from "./unsaved.js";

let taps = 0;

// Only the result: what comes after it stands in small print on the same button.
function resultWord(button) {
  const copy = button.cloneNode(true);
  for (const small of copy.querySelectorAll("small")) small.remove();
  return copy.textContent.trim();
}

// The answer to a tap is the renewed page; where it was refused, with the reason in it.
async function send(action, body) {
  const fields = new URLSearchParams(body);
  fields.set("form_token", document.querySelector("[name=form_token]").value); // a new sign-in has another
  const answer = await post(action, fields, "taps");
  if (answer.status === SIGNED_OUT) {
    signIn();
    return new Promise(() => {}); // this page is left; the tap is kept
  }
  const html = await answer.text();
  const refused = !answer.ok && answer.status < 500 && html.includes("data-focus");
  if (!answer.ok && !refused) throw new Error(String(answer.status));
  return { html, refused };
}

// What is kept of a tap that could not be sent: the tap, and what stood there before it.
function tapOf(form, button) {
  const item = form.closest("[data-keep]");
  const body = new URLSearchParams(new FormData(form, button));
  body.delete("form_token");
  taps += 1;
  body.set("once", `${body.get("once")} ${taps}`); // each tap on a page is one of its own
  const step = document.querySelector("#step > span"); // what was asked, since the renewed step asks something else
  const { keep: of = "", result = "", number = "", name: check = "" } = item ? item.dataset : { name: step ? step.textContent : "" };
  return { id: `tap ${idOf(form)}`, action: addressOf(form).pathname, body: String(body), value: button.value, word: resultWord(button), before: { result, number }, check, of };
}

async function save(tap) {
  const body = new URLSearchParams(tap.body);
  const say = (...words) => sayAt(placeOf(tap.of), ...words);
  say("Saving…");
  keep(tap.id, { ...tap, tap: true });
  let answer;
  try {
    answer = await send(tap.action, body);
  } catch {
    mark(tap);
    say(`${tap.word}: not saved yet`, "Retry", () => save(tap));
    tryLater(tap.id, () => save(tap));
    return;
  }
  for (const id of [tap.id, tap.id.replace(/^tap /, "")]) drop(id);
  tryNoMore(tap.id);
  if (!renew(answer.html, tap.of)) location.reload();
  if (answer.refused) { showWhy(); return; }
  const undo = new URLSearchParams(body);
  undo.set("result", tap.before.result);
  undo.set("number", tap.before.number);
  undo.set("once", `${undo.get("once")} back`);
  const said = body.get("number") || (body.get("result") ? tap.word : "cleared");
  say(`${tap.check ? `${tap.check}: ` : ""}${said}`, "Undo", () => takeBack(tap, undo));
  fade(() => placeOf(tap.of));
}

// A sentence that says why it was not saved stands in the page; it is read at once.
function showWhy() {
  hush();
  const why = document.querySelector("main [data-focus]");
  if (why) why.focus();
}

async function takeBack(tap, body) {
  const say = (...words) => sayAt(placeOf(tap.of), ...words);
  say("Undoing…");
  try {
    const { html } = await send(tap.action, body);
    if (!renew(html, tap.of)) location.reload();
    hush();
  } catch {
    say("Undo: not saved yet", "Retry", () => takeBack(tap, body));
  }
}

// A tap that was not saved stays marked on its button, after a reload too, until it is sent or discarded.
function mark(tap) {
  for (const form of document.querySelectorAll("form[data-tap]")) {
    if (`tap ${idOf(form)}` !== tap.id) continue;
    const item = form.closest("[data-keep]");
    const now = item ? item.dataset.result || "" : tap.before.result;
    const button = [...form.querySelectorAll("button")].find((one) => one.value === tap.value || resultWord(one) === tap.word);
    if (!button) continue;
    const place = button.closest(".pick, .pair, .number") || form;
    if (place.nextElementSibling && place.nextElementSibling.matches(".unsaved-note")) place.nextElementSibling.remove();
    button.classList.add("unsaved");
    const since = now === tap.before.result ? "" : " Somebody tapped something else since.";
    place.after(note(`${tap.word}: not saved yet${tap.at ? ` (${time(tap.at)})` : ""}.${since}`, ["Retry", () => save(tap)], ["Discard", () => forget(tap)]));
    return;
  }
}

function forget(tap) {
  hush();
  drop(tap.id);
  tryNoMore(tap.id);
  for (const place of document.querySelectorAll(".unsaved-note")) place.remove();
  for (const button of document.querySelectorAll("button.unsaved")) button.classList.remove("unsaved");
  markAll();
}

// Another page of the same concern may show the button too; one that shows what was tapped has it.
function markAll() {
  for (const [, entry] of all()) if (entry.tap && entry.page === here()) mark(entry);
}

export function start() {
  onEveryMain(markAll);
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!form.matches("form[data-tap]")) return;
    event.preventDefault();
    const tap = tapOf(form, event.submitter);
    event.submitter.disabled = true;
    save(tap).finally(() => { event.submitter.disabled = false; });
  });
}
