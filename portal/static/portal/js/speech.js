/* What the page says by itself: results of work, refusals, and where the focus goes after a refused form.
   Without it: the same sentences stand in the page that the server sends. */
import { refusalSays } from "./words.js";

/* Announce once, through the live region that was in the page before it had anything to say. */
export function say(text) {
  const region = document.getElementById("say");
  if (!region) return;
  region.textContent = "";
  requestAnimationFrame(() => { region.textContent = text; });
}

/* A refusal, to be seen and heard, where Django's own messages stand. */
export function refuse(text) {
  const line = document.createElement("p");
  line.className = "message message-wrong";
  line.textContent = text;
  const region = document.getElementById("messages");
  region?.replaceChildren(line);
  line.scrollIntoView({ block: "nearest" });
}

/* The words of an answer: what it marks with data-says, else what its status means. */
export function saysOf(status, html) {
  const found = html ? new DOMParser().parseFromString(html, "text/html").querySelector("[data-says]") : null;
  return found?.textContent.trim() || refusalSays(status);
}

function takeFocus(within) {
  const first = within.matches?.("[data-take-focus]") ? within : within.querySelector?.("[data-take-focus]");
  if (!first) return;
  delete first.dataset.takeFocus;
  first.focus();
}

document.addEventListener("htmx:responseError", (event) => {
  const { xhr } = event.detail;
  refuse(saysOf(xhr.status, xhr.responseText));
});
document.addEventListener("htmx:sendError", () => refuse(refusalSays(0)));
document.addEventListener("htmx:beforeRequest", () => {
  // A refusal is about the try before this one.
  document.querySelector("#messages > .message-wrong")?.remove();
});
document.addEventListener("htmx:load", (event) => {
  const part = event.detail.elt;
  takeFocus(part);
  const result = part.matches?.("[data-say]") ? part : part.querySelector?.("[data-say]");
  if (result) say(result.dataset.say);
});
takeFocus(document);
