// Small helps that no page depends on.
document.documentElement.classList.add("has-script");

// After htmx has put a sentence on the page that says what came of it, the reader is taken to it.
document.addEventListener("htmx:afterSettle", (event) => {
  const sentence = event.target.querySelector?.("[data-trouble], [data-said]");
  if (sentence) sentence.focus();
});
