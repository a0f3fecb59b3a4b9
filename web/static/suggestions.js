// Trouble codes and vehicles are suggested after three characters of the last word typed.
import { latest } from "./latest.js";
import { onEveryMain } from "./renewed.js";

const LEAST = 3;
const WAIT = 150;

function optionOf(before, { value, label }) {
  const option = document.createElement("option");
  option.value = before + value;
  option.label = label;
  return option;
}

function wire(input) {
  const list = document.createElement("datalist");
  list.id = `${input.id}-suggestions`;
  input.after(list);
  input.setAttribute("list", list.id);
  input.addEventListener("input", latest(WAIT, async (signal) => {
    const words = input.value.split(/[\s,;]+/);
    const last = words[words.length - 1];
    if (last.length < LEAST) { list.replaceChildren(); return; }
    const before = input.value.slice(0, input.value.length - last.length);
    try {
      const answer = await fetch(`${input.dataset.suggest}?q=${encodeURIComponent(last)}`, { signal });
      if (!answer.ok || answer.redirected) return;
      const found = await answer.json();
      list.replaceChildren(...found.map((one) => optionOf(before, one)));
    } catch { /* a newer question; or typing goes on without suggestions */ }
  }));
}

export function start() {
  onEveryMain((main) => {
    for (const input of main.querySelectorAll("input[data-suggest]")) wire(input);
  });
}
