// What a tap came to stands right after the tap's own place, for the eye and in the order of focus.
import { note } from "./unsaved.js";

const STAYS = 8000;
let toast = null;
let timer = 0;

export function sayAt(place, text, buttonText, onPress) {
  hush();
  toast = note(text, ...(buttonText ? [[buttonText, onPress]] : []));
  toast.className = "toast no-print";
  if (place.matches("[data-keep], main")) place.append(toast);
  else place.after(toast);
}

export function hush() {
  clearTimeout(timer);
  if (toast) toast.remove();
  toast = null;
}

// Gone after 8 seconds, but never while focus is in it or at the place that it speaks of (WCAG 2.2.1).
export function fade(placeNow) {
  timer = setTimeout(() => {
    const inHand = [placeNow(), toast].some((one) => one && one !== document.body && one.contains(document.activeElement));
    if (inHand) fade(placeNow);
    else toast.classList.add("gone");
  }, STAYS);
}
