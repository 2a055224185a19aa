// Small extras: every page works without them.
document.documentElement.classList.add("has-script");

// When htmx has put a sentence about the outcome on the page, move the focus to it.
document.addEventListener("htmx:afterSettle", (event) => {
  const sentence = event.target.querySelector?.("[data-trouble], [data-said]");
  if (sentence) sentence.focus();
});
