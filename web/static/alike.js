// While a note is written, those on the same thing stand beside it: asked anew a moment after the last letter.
import { onEveryMain } from "./renewed.js";
import { latest } from "./latest.js";

const WAIT = 700;

function wire(form) {
  const place = document.getElementById(form.dataset.alike);
  if (!place) return;
  const ask = latest(WAIT, async (signal) => {
    try {
      const body = new URLSearchParams(new FormData(form));
      const answer = await fetch(form.dataset.source, { method: "POST", body, signal });
      if (answer.ok && !answer.redirected) place.innerHTML = await answer.text();
    } catch { /* a line that cannot be read yet, or a newer question: what stands there stays */ }
  });
  form.addEventListener("input", ask);
  for (const button of form.querySelectorAll("[data-without-script]")) button.hidden = true;
}

export function start() {
  onEveryMain((main) => {
    for (const form of main.querySelectorAll("form[data-alike]")) wire(form);
  });
}
