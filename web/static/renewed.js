// A page that was fetched takes the place of the one that stands there: its <main>, folds and focus kept.
const listeners = [];

// Called with the <main> now, and with each that takes its place.
export function onEveryMain(wire) {
  listeners.push(wire);
  wire(document.querySelector("main"));
}

export function renew(html) {
  const page = new DOMParser().parseFromString(html, "text/html");
  const fresh = page.querySelector("main");
  const old = document.querySelector("main");
  if (!fresh || !old) return false;
  const openFolds = [...old.querySelectorAll("details[id][open]")].map((fold) => fold.id);
  const focused = document.activeElement && document.activeElement.closest("[data-keep]");
  const kept = focused && focused.dataset.keep;
  const hadButton = document.activeElement && document.activeElement.value;
  old.replaceWith(fresh);
  document.title = page.title;
  for (const id of openFolds) {
    const fold = document.getElementById(id);
    if (fold) fold.open = true;
  }
  if (kept) {
    const place = fresh.querySelector(`[data-keep="${CSS.escape(kept)}"]`);
    const button = place && (place.querySelector(`button[value="${CSS.escape(hadButton || "")}"]`) || place.querySelector("button"));
    if (button) button.focus({ preventScroll: true });
  }
  for (const wire of listeners) wire(fresh);
  return true;
}
