// Keys for whoever works here. Single characters can be switched off: they get in the way of speech input (WCAG 2.1.4).
const keys = document.getElementById("keys");
const keysOn = document.getElementById("keys-on");
const KEPT = "single-keys"; // in this browser alone
const ROWS = ".ruled-list > li, ul.plain > li, .rows > li, .findings > li, table:is(.ruled, .stack) tbody tr";

keysOn.checked = localStorage.getItem(KEPT) !== "off";
keysOn.addEventListener("change", () => localStorage.setItem(KEPT, keysOn.checked ? "on" : "off"));
for (const button of document.querySelectorAll("[data-opens=keys]"))
  button.addEventListener("click", () => keys.showModal());

const isTyping = (target) => target.isContentEditable || /^(INPUT|TEXTAREA|SELECT|AUDIO|VIDEO)$/.test(target.tagName);

function single(event) {
  if (!keysOn.checked || keys.open) return false;
  if (event.key === "?") keys.showModal();
  else if (event.key === "/") document.getElementById("seek").focus();
  else return false;
  return true;
}

// From row to row of a list, by the first link or button in each.
function walked(event) {
  const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
  const row = step && event.target.closest(ROWS);
  if (!row) return false;
  for (let next = row; (next = step > 0 ? next.nextElementSibling : next.previousElementSibling); ) {
    const first = next.querySelector("a[href], button, summary");
    if (first) return first.focus(), true;
  }
  return false;
}

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey || isTyping(event.target)) return;
  if (single(event) || walked(event)) event.preventDefault();
});
