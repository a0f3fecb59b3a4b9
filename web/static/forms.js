// What is typed stays in this browser until it is saved, whatever becomes of connection, page or battery; and
// a form that could not be sent says so, keeps its own key, and is sent again.
import { hasFields, putBack, typedIn } from "./fields.js";
import { onEveryMain, renew } from "./renewed.js";
import { SIGNED_OUT, here, leave, left, post, signIn } from "./sending.js";
import { addressOf, all, drop, idOf, isSomebodys, keep, kept, note, time, tryLater, tryNoMore } from "./unsaved.js";

const CONFLICT = 409;
let answered = ""; // the form that the page at hand answers
const fresh = new WeakMap(); // what a form was before something was put back
const notes = new WeakMap();

function isOurs(form) {
  return form.getAttribute("method") === "post" && !form.matches("[data-not-kept]") && !form.querySelector("[type=password]");
}

const hidden = (form, name) => form.querySelector(`input[type=hidden][name=${name}]`);
const same = (one, other) => JSON.stringify(one) === JSON.stringify(other);

function say(form, near, sentence, ...buttons) {
  const old = notes.get(form);
  if (old) old.remove();
  notes.delete(form);
  if (!sentence) return;
  const place = note(sentence, ...buttons);
  notes.set(form, place);
  if (near) near.after(place); else form.prepend(place);
  if (near && !old) place.scrollIntoView({ block: "nearest" }); // below the last button it would not be seen
}

// Typing

function hold(form, more) {
  const version = hidden(form, "version");
  keep(idOf(form), { ...more, typed: typedIn(form), version: version && version.value });
}

function remember(form) {
  const id = idOf(form);
  const before = kept(id);
  const typed = typedIn(form);
  if (!(before && before.tried) && same(typed, fresh.get(form).typed)) { drop(id); return; }
  hold(form, before);
}

function discard(form) {
  const { typed, once, version } = fresh.get(form);
  tryNoMore(idOf(form));
  drop(idOf(form));
  putBack(form, typed);
  if (hidden(form, "once")) hidden(form, "once").value = once;
  if (hidden(form, "version")) hidden(form, "version").value = version;
  say(form);
}

function bringBack(form, entry) {
  const version = hidden(form, "version");
  const stale = version && entry.version && entry.version !== version.value;
  putBack(form, entry.typed);
  if (stale) version.value = entry.version;
  if (entry.tried && hidden(form, "once")) hidden(form, "once").value = entry.tried.once;
  const since = stale ? " Somebody saved this since: sending shows both." : "";
  const away = ["Discard", () => discard(form)];
  if (entry.tried) say(form, null, `Not saved yet (${time(entry.at)}).${since}`, ["Retry", () => send(form, button(form, entry))], away);
  else say(form, null, `Restored what was not saved (${time(entry.at)}).${since}`, away);
}

const button = (form, { tried }) => tried.button && form.querySelector(`button[name="${CSS.escape(tried.button[0])}"][value="${CSS.escape(tried.button[1])}"]`);

// A page that only reads what was sent (a photo, a paste) is one of the browser's own: it answers this form.
const READ = "beforeflash read";

function readBefore() {
  const [id, page] = JSON.parse(left(READ) || "[]");
  const [{ type }] = performance.getEntriesByType("navigation");
  return type === "navigate" && page === document.referrer ? id : "";
}

function wire(main, isAnswer) {
  if (!isSomebodys()) return;
  for (const form of main.querySelectorAll("form[method=post]")) {
    if (!isOurs(form)) continue;
    form.autocomplete = "off"; // the browser's own memory of a form shows it to whoever goes back, another person too
    const value = (name) => hidden(form, name) && hidden(form, name).value;
    fresh.set(form, { typed: typedIn(form), once: value("once"), version: value("version") });
    const entry = kept(idOf(form));
    if (!entry || entry.tap) continue;
    if (isAnswer === idOf(form)) hold(form, entry); // the answer holds what was typed, and more
    else if (entry.tried || (hasFields(form) && !same(entry.typed, typedIn(form)))) bringBack(form, entry);
  }
}

// Sending

// Where only the place on the page is another one, the page is loaded all the same; what the advice asked leads to
// the renewed step.
const PLACE = "beforeflash place";

function go(address, form) {
  const there = new URL(address, location.href);
  if (form.closest(".advice, .stop")) leave(PLACE, "step");
  if (there.hash && there.pathname + there.search === here()) {
    leave(PLACE, there.hash.slice(1));
    location.reload();
  } else location.assign(there);
}

function arrive() {
  const place = document.getElementById(left(PLACE));
  if (place && place.tabIndex === -1 && place.hasAttribute("tabindex")) place.focus({ preventScroll: true });
  else if (place) place.scrollIntoView();
}

function bodyOf(form, submitter) {
  const body = new FormData(form, submitter);
  return form.enctype === "multipart/form-data" ? body : new URLSearchParams(body);
}

function replaced(form, html) {
  answered = idOf(form);
  renew(html);
  answered = "";
}

// What is wrong stands in the form's own page; any other refusal is a sentence beside the form.
function refused(form, near, status, html) {
  const page = new DOMParser().parseFromString(html, "text/html");
  hold(form, { ...kept(idOf(form)), tried: undefined });
  if (page.querySelector("main [data-focus]")) {
    replaced(form, html);
    document.querySelector("main [data-focus]").focus();
    return;
  }
  if (status === CONFLICT) hidden(form, "once").value += "+"; // sent again it is another one
  const why = page.querySelector("main p");
  const other = status === SIGNED_OUT ? ["Sign in", signIn] : ["Load the page again", () => location.reload()];
  say(form, near, `Not saved yet. ${why ? why.textContent : ""}`, ["Retry", () => send(form)], other);
}

// The page is left once nothing is under way: two quick taps are two forms.
let inFlight = 0;
let next = "";

async function send(form, submitter) {
  if (form.dataset.sent) return;
  form.dataset.sent = "yes";
  inFlight += 1;
  const id = idOf(form);
  const near = submitter && (submitter.closest(".acts, .pick, .pair") || submitter);
  hold(form, { tried: { once: hidden(form, "once").value, button: submitter && submitter.name ? [submitter.name, submitter.value] : null } });
  const saving = setTimeout(() => say(form, near, "Saving…"), 300);
  try {
    const answer = await post(addressOf(form), bodyOf(form, submitter), "kept");
    clearTimeout(saving);
    if (answer.status >= 500) throw new Error(String(answer.status));
    tryNoMore(id);
    if (answer.headers.has("Go-To")) {
      for (const one of [id, form.dataset.settles]) drop(one);
      next = answer.headers.get("Go-To");
      return;
    }
    const html = await answer.text();
    delete form.dataset.sent;
    say(form);
    if (!answer.ok) refused(form, near, answer.status, html);
    else { drop(id); replaced(form, html); }
  } catch {
    clearTimeout(saving);
    delete form.dataset.sent;
    say(form, near, `Not saved yet: ${navigator.onLine ? "the shop's computer does not answer" : "no connection"}. It is kept here and sent when it is back.`, ["Retry", () => send(form, submitter)]);
    tryLater(id, () => send(form, submitter));
  } finally {
    inFlight -= 1;
    if (next && !inFlight) go(next, form);
  }
}

// What could not be sent from another page is not forgotten there.
function tellOfOthers() {
  const others = all().filter(([, entry]) => (entry.tried || entry.tap) && entry.page !== here());
  if (!others.length) return;
  const place = note("Not saved yet:");
  place.classList.add("elsewhere");
  for (const [, entry] of others) {
    const link = document.createElement("a");
    link.href = entry.page;
    link.className = "button";
    link.textContent = `${entry.name}${entry.word ? `: ${entry.word}` : ""}, ${time(entry.at)}`;
    place.append(link);
  }
  document.querySelector("main").before(place);
}

export function start() {
  answered = readBefore();
  onEveryMain((main) => wire(main, answered));
  answered = "";
  tellOfOthers();
  arrive();
  document.addEventListener("input", (event) => {
    const form = event.target.form;
    if (!form || !fresh.has(form)) return;
    tryNoMore(idOf(form)); // half a sentence is not sent by itself
    remember(form);
  });
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (event.defaultPrevented || !fresh.has(form) || form.matches("[data-tap]")) return;
    if (form.matches("[data-only-reads]") || (event.submitter && event.submitter.hasAttribute("formaction"))) {
      leave(READ, JSON.stringify([idOf(form), location.href.split("#")[0]])); // as a referrer is written
      return;
    }
    event.preventDefault();
    send(form, event.submitter);
  });
}
