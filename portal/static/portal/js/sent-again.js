/* What was kept while signed out goes at the first press of its button. Signing in, in another window, has given this
   browser a new word against forgery, and the one in this page is that of before. */
const COOKIE = "csrftoken";

document.addEventListener("submit", (event) => {
  const field = event.target.closest("[data-sent-again]")?.elements.namedItem("csrfmiddlewaretoken");
  const cookie = document.cookie.split("; ").find((one) => one.startsWith(`${COOKIE}=`));
  if (field && cookie) field.value = cookie.slice(COOKIE.length + 1);
});
