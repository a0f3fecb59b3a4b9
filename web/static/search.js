// Search as you type: the results of the page are fetched as a part and put in place.
import { onEveryMain } from "./renewed.js";
import { latest } from "./latest.js";

const WAIT = 180;

// On the form's own page Back, or loading it again, finds what was typed last.
function keepInAddress(form, query) {
  if (location.pathname === new URL(form.action).pathname) history.replaceState(null, "", `?${query}`);
}

function wire(form) {
  const target = document.getElementById(form.dataset.live);
  if (!target) return;
  const ask = latest(WAIT, async (signal) => {
    const query = new URLSearchParams(new FormData(form));
    query.delete("form_token");
    query.delete("once");
    keepInAddress(form, query);
    query.set("part", "results");
    target.setAttribute("aria-busy", "true");
    try {
      const answer = await fetch(`${form.dataset.source || form.action}?${query}`, { signal });
      if (answer.ok && !answer.redirected) target.innerHTML = await answer.text();
    } catch (problem) {
      if (problem.name === "AbortError") return;
    }
    target.removeAttribute("aria-busy");
  });
  form.addEventListener("input", (event) => {
    if (event.target.matches("[data-asks]")) ask();
  });
}

export function start() {
  onEveryMain((main) => {
    for (const form of main.querySelectorAll("form[data-live]")) wire(form);
  });
}
