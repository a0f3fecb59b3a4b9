// What every page gains from a script. Without it every link and form works as it stands.
import { start as startForms } from "./forms.js";
import { start as startTaps } from "./taps.js";
import { onEveryMain } from "./renewed.js";
import { start as startSearch } from "./search.js";
import { start as startCopies } from "./copies.js";
import { start as startSuggestions } from "./suggestions.js";
import { start as startAlike } from "./alike.js";
import { start as startKnown } from "./known.js";
import { start as startReading } from "./reading.js";
import { start as startKeys } from "./keys.js";
import { start as startPasswords } from "./passwords.js";

startForms();
startTaps();

const refusal = document.querySelector("[data-focus]");
if (refusal) refusal.focus();

// A refused form was answered at its own address; going back to it later shows the page, and sends nothing again.
const address = document.querySelector("main").dataset.address;
if (address) history.replaceState(null, "", address);

addEventListener("beforeprint", () => {
  for (const fold of document.querySelectorAll("details")) fold.open = true;
});

onEveryMain(startPasswords);

onEveryMain((main) => {
  // On a wide screen there is room for what a phone folds away.
  if (matchMedia("(min-width: 62rem)").matches) {
    for (const fold of main.querySelectorAll("details[data-open-when-wide]")) fold.open = true;
  }
  for (const button of main.querySelectorAll("button[data-print]")) {
    button.hidden = false;
    button.addEventListener("click", () => print());
  }
});

// A long import says how far it is.
for (const place of document.querySelectorAll("[data-watch]")) {
  const timer = setInterval(async () => {
    try {
      const answer = await fetch(place.dataset.watch);
      if (!answer.ok || answer.redirected) return;
      const { state, sentence } = await answer.json();
      place.querySelector("[data-sentence]").textContent = sentence;
      if (state !== "running" && state !== "undoing") { clearInterval(timer); location.reload(); }
    } catch { /* the next try may find the server again */ }
  }, 2000);
}

// A form that the browser itself sends is sent once by a nervous thumb.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented || form.method !== "post" || form.matches("[data-tap]")) return;
  if (form.dataset.sent) event.preventDefault();
  form.dataset.sent = "yes";
});
addEventListener("pageshow", (event) => {
  if (event.persisted) location.reload(); // as it was left it may be another person's, or not for a customer
  for (const form of document.querySelectorAll("form[data-sent]")) delete form.dataset.sent;
});

startSearch();
startCopies();
startSuggestions();
startKnown();
startAlike();
startReading();
startKeys();
