// Small helps that no page depends on.
document.documentElement.classList.add("has-script");

// After htmx has put an error sentence on the page, the reader is taken to it.
document.addEventListener("htmx:afterSettle", (event) => {
  const trouble = event.target.querySelector?.("[data-trouble]");
  if (trouble) trouble.focus();
});
