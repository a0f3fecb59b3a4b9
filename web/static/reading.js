// A photo that was taken is read at once, and the page says how long it has been at it.
import { onEveryMain } from "./renewed.js";

const often = 1000;

function size(inputs) {
  const bytes = inputs.flatMap((one) => [...one.files]).reduce((sum, file) => sum + file.size, 0);
  return (bytes / 1e6).toFixed(1);
}

function tell(form) {
  const place = form.querySelector("#reading");
  const inputs = [...form.querySelectorAll("input[type=file]")];
  const count = inputs.reduce((sum, one) => sum + one.files.length, 0);
  const what = count ? `Sending and reading ${count === 1 ? "1 file" : `${count} files`}, ${size(inputs)} MB` : "Reading";
  const began = Date.now();
  const say = () => { place.textContent = `${what}: ${Math.round((Date.now() - began) / 1000)} s. What you typed stays.`; };
  place.hidden = false;
  say();
  const timer = setInterval(say, often);
  addEventListener("pageshow", () => { clearInterval(timer); place.hidden = true; }, { once: true });
}

function wire(input) {
  const button = document.getElementById(input.dataset.read);
  const more = document.getElementById("more-to-read");
  button.hidden = !more.open;
  more.addEventListener("toggle", () => { button.hidden = !more.open; });
  input.addEventListener("change", () => { if (input.files.length) input.form.requestSubmit(button); });
}

export function start() {
  onEveryMain((main) => {
    for (const input of main.querySelectorAll("input[data-read]")) wire(input);
  });
  document.addEventListener("submit", (event) => {
    if (event.submitter?.id === "read-it" && !event.defaultPrevented) tell(event.target);
  });
}
