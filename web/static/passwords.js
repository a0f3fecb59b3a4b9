// A password may be shown while it is typed: NIST SP 800-63B-4, 3.1.1.2. Without a script it stays hidden.
export function start(main) {
  for (const place of main.querySelectorAll("[data-left]")) countDown(place);
  for (const field of main.querySelectorAll("input[data-may-show]")) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "link";
    button.setAttribute("aria-controls", field.id);
    const say = () => { button.textContent = field.type === "password" ? "Show what I type" : "Hide it"; };
    button.addEventListener("click", () => {
      field.type = field.type === "password" ? "text" : "password";
      say();
    });
    say();
    field.after(button);
    field.form.addEventListener("submit", () => { field.type = "password"; });
  }
}

// How long until the next try, second by second; then the form again.
function countDown(place) {
  const end = Date.now() + 1000 * Number(place.dataset.left);
  const timer = setInterval(() => {
    const left = Math.max(0, Math.ceil((end - Date.now()) / 1000));
    place.textContent = `${Math.floor(left / 60)}:${String(left % 60).padStart(2, "0")}`;
    if (left) return;
    clearInterval(timer);
    location.replace(place.dataset.then);
  }, 1000);
}
