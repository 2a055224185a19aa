// Small extras: every page works without them.
document.documentElement.classList.add("has-script");

// A part that comes anew by itself and does not come: it stays as it is and says since when.
for (const trouble of ["htmx:sendError", "htmx:responseError"])
  document.addEventListener(trouble, (event) => {
    const away = event.target.querySelector?.("[data-away]");
    if (away) away.hidden = false;
  });

// When htmx has put a sentence about the outcome on the page, move the focus to it. A button that went away with a tap
// leaves the focus to the first one in its place.
document.addEventListener("htmx:afterSettle", (event) => {
  const sentence = event.target.querySelector?.("[data-trouble], [data-said]");
  if (sentence) sentence.focus();
  else if (event.detail.requestConfig?.verb === "post" && document.activeElement === document.body)
    document.getElementById(event.detail.target.id)?.querySelector("button, a")?.focus({ preventScroll: true });
});

// The menu under "More" goes with Escape, and when one looks elsewhere.
for (const more of document.querySelectorAll("details.more")) {
  more.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || !more.open) return;
    more.open = false;
    more.querySelector("summary").focus();
  });
  document.addEventListener("click", (event) => {
    if (!more.contains(event.target)) more.open = false;
  });
}

// What was unfolded stays so when its part of the page comes anew.
let unfolded = [];
document.addEventListener("htmx:beforeSwap", (event) => {
  unfolded = [...event.detail.target.querySelectorAll("details[id][open]")].map((one) => one.id);
});
document.addEventListener("htmx:afterSwap", () => {
  for (const id of unfolded) document.getElementById(id)?.setAttribute("open", "");
});
