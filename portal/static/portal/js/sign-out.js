/* Signing out clears the pages that this browser keeps for use without network. Without it nothing was kept.
   What was written and not sent yet stays: it belongs to its writer and is sent once they sign in again. */
import { forget } from "./pivot-shell.js";

const LONGEST_MS = 1500;

// Where nobody is signed in (it ran out, or ended elsewhere) whoever comes next must not find the page of who was.
if (!document.getElementById("sign-out")) forget();

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!("caches" in window) || form.method !== "post" || new URL(form.action, location.href).pathname !== "/account/logout/") return;
  event.preventDefault();
  await Promise.race([forget(), new Promise((resolve) => { setTimeout(resolve, LONGEST_MS); })]);
  form.submit();
});
