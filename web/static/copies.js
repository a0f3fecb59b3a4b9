// Copy buttons for texts that must be entered exactly as printed.
import { onEveryMain } from "./renewed.js";

async function copy(button) {
  const field = button.dataset.copyFrom && document.getElementById(button.dataset.copyFrom);
  const text = field ? field.value : button.dataset.copy;
  const label = button.textContent;
  try {
    await navigator.clipboard.writeText(text);
    button.textContent = "Copied";
  } catch {
    const output = button.parentElement.querySelector("output");
    if (field) field.select();
    else if (output) getSelection().selectAllChildren(output);
    const selected = field || output;
    // Over plain HTTP there is no clipboard, but what is selected can still be copied.
    if (selected && document.execCommand("copy")) button.textContent = "Copied";
    else button.textContent = selected ? "Selected: press Ctrl+C" : "Copy it by hand";
  }
  setTimeout(() => { button.textContent = label; }, 3000);
}

export function start() {
  onEveryMain((main) => {
    for (const button of main.querySelectorAll("button[data-copy], button[data-copy-from]")) button.hidden = false;
  });
  document.addEventListener("click", (event) => {
    const button = event.target.closest("button[data-copy], button[data-copy-from]");
    if (button) copy(button);
  });
}
