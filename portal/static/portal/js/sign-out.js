/* Signing out clears the pages that this browser keeps for use without network. Without it nothing was kept.
   What was written and not sent yet stays: it belongs to its writer and is sent once they sign in again. */
import { forget } from "./pivot-shell.js";

// Where nobody is signed in (they signed out, it ran out, or ended elsewhere) whoever comes next must not find the page
// of who was. The page that follows a sign-out is such a page, so that signing out itself waits for nothing.
if (!document.getElementById("sign-out")) forget();
