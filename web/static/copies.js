// Copy buttons for texts that must be entered exactly as printed.
async function copy(button) {
  const text = button.dataset.copy;
  const label = button.textContent;
  try {
    await navigator.clipboard.writeText(text);
    button.textContent = "Copied";
  } catch {
    const output = button.parentElement.querySelector("output");
    if (output) getSelection().selectAllChildren(output);
    button.textContent = output ? "Selected: press Ctrl+C" : "Copy it by hand";
  }
  setTimeout(() => { button.textContent = label; }, 3000);
}

export function start() {
  for (const button of document.querySelectorAll("button[data-copy]")) button.hidden = false;
  document.addEventListener("click", (event) => {
    const button = event.target.closest("button[data-copy]");
    if (button) copy(button);
  });
}
