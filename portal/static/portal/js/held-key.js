/* A button is pressed once, however long Enter is held: the key repeats some thirty times a second, and a button that turns
   pictures would flash (WCAG 2.2, 2.3.1), one that sends would send again. */
document.addEventListener("keydown", (event) => {
  if (event.repeat && event.key === "Enter" && event.target.closest?.("button")) event.preventDefault();
});
