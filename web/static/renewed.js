// A page that was fetched takes the place of the one that stands there: its <main>, folds kept, focus where it was.
const listeners = [];

// Called with the <main> now, and with each that takes its place.
export function onEveryMain(wire) {
  listeners.push(wire);
  wire(document.querySelector("main"));
}

// The finding of that name, or else the next step, which may be another one now.
export function placeOf(name) {
  const finding = name && document.querySelector(`[data-keep="${CSS.escape(name)}"]`);
  return finding || document.querySelector("#step") || document.querySelector("main");
}

// In a finding on the button that is pressed now; on a step itself, so that it is read.
function focusOn(place) {
  const button = place.matches("[data-keep]") && (place.querySelector("button[aria-pressed=true]") || place.querySelector("button"));
  (button || place).focus({ preventScroll: true });
}

// `of`: the finding whose button was tapped, or nothing for the step.
export function renew(html, of) {
  const page = new DOMParser().parseFromString(html, "text/html");
  const fresh = page.querySelector("main");
  const old = document.querySelector("main");
  if (!fresh || !old) return false;
  const openFolds = [...old.querySelectorAll("details[id][open]")].map((fold) => fold.id);
  old.replaceWith(fresh);
  document.title = page.title;
  for (const id of openFolds) {
    const fold = document.getElementById(id);
    if (fold) fold.open = true;
  }
  if (of !== undefined) focusOn(placeOf(of));
  for (const wire of listeners) wire(fresh);
  return true;
}
