// Trouble codes and vehicles are suggested after three characters of the last word typed.
import { onEveryMain } from "./renewed.js";

const LEAST = 3;
const WAIT = 150;

function wire(input) {
  const list = document.createElement("datalist");
  list.id = `${input.id}-suggestions`;
  input.after(list);
  input.setAttribute("list", list.id);
  let timer = 0;
  input.addEventListener("input", () => {
    clearTimeout(timer);
    const words = input.value.split(/[\s,;]+/);
    const last = words[words.length - 1];
    if (last.length < LEAST) { list.replaceChildren(); return; }
    const before = input.value.slice(0, input.value.length - last.length);
    timer = setTimeout(async () => {
      try {
        const answer = await fetch(`${input.dataset.suggest}?q=${encodeURIComponent(last)}`);
        if (!answer.ok || answer.redirected) return;
        const found = await answer.json();
        list.replaceChildren(...found.map(({ value, label }) => {
          const option = document.createElement("option");
          option.value = before + value;
          option.label = label;
          return option;
        }));
      } catch { /* typing goes on without suggestions */ }
    }, WAIT);
  });
}

export function start() {
  onEveryMain((main) => {
    for (const input of main.querySelectorAll("input[data-suggest]")) wire(input);
  });
}
