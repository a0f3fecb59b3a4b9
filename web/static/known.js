// What the shop knows of a VIN that is typed, to be taken with a tap; typed fields stand.
import { latest } from "./latest.js";
import { onEveryMain } from "./renewed.js";

const WHOLE = 17;
const FIELDS = ["make", "model", "engine", "year"];

const field = (name) => document.getElementById(name);

function show(place, said) {
  const sentence = document.createElement("p");
  sentence.textContent = said.sentence;
  const take = document.createElement("button");
  take.type = "button";
  take.textContent = `Take ${said.name}`;
  take.addEventListener("click", () => {
    for (const name of FIELDS) if (!field(name).value.trim()) field(name).value = said[name] || "";
    for (const name of FIELDS) field(name).dispatchEvent(new Event("input", { bubbles: true }));
    sentence.textContent = `Filled in: ${said.name}. It is saved with the concern.`;
    take.remove();
    field("complaint").focus();
  });
  place.replaceChildren(sentence, take);
}

async function ask(place, vin, signal) {
  try {
    const answer = await fetch(`${place.dataset.knownOfVin}?vin=${encodeURIComponent(vin)}`, { signal });
    if (!answer.ok || answer.redirected) return;
    const said = await answer.json();
    if (said && FIELDS.some((name) => said[name] && !field(name).value.trim())) show(place, said);
  } catch { /* a newer VIN; or typing goes on without it */ }
}

function wire(place) {
  if (!place.querySelector("p")) place.replaceChildren();
  field("vin").addEventListener("input", latest(0, (signal) => {
    const vin = field("vin").value.replace(/[\s-]/g, "");
    place.replaceChildren();
    if (vin.length === WHOLE) ask(place, vin, signal);
  }));
}

export function start() {
  onEveryMain((main) => {
    for (const place of main.querySelectorAll("[data-known-of-vin]")) wire(place);
  });
}
