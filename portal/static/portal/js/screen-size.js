/* <screen-size>: how large a centimetre is on this screen, matched by a rectangle to a bank card and kept in this browser.
   Without it: CSS takes 96 px for an inch, and the page says so.
   With it: the slider's own keys set the rectangle's width. What is kept are the screen's own pixels, so that zooming the page
   changes nothing. */
import { centimetre, devicePixels, matchSays } from "./screen-match.js";

const KEPT = "brieflock-screen-px-per-mm";

const kept = () => {
  try {
    return Number(localStorage.getItem(KEPT)) || null;
  } catch {
    return null; // a browser that keeps nothing
  }
};

function keep(value) {
  try {
    if (value) localStorage.setItem(KEPT, String(value));
    else localStorage.removeItem(KEPT);
  } catch { /* then it holds for this page */ }
}

class ScreenSize extends HTMLElement {
  connectedCallback() {
    this.off = new AbortController();
    const { signal } = this.off;
    this.match = kept();
    this.slider = this.querySelector("[data-width]");
    this.slider.addEventListener("input", () => this.set(devicePixels(Number(this.slider.value), devicePixelRatio)), { signal });
    this.querySelector("[data-forget]").addEventListener("click", () => this.set(null), { signal });
    addEventListener("resize", () => this.show(), { signal });
    this.show();
  }

  disconnectedCallback() { this.off.abort(); }

  set(match) {
    this.match = match;
    keep(match);
    this.show();
  }

  show() {
    const long = centimetre(this.match, devicePixelRatio);
    document.documentElement.style.setProperty("--centimetre", `${long}px`);
    this.style.setProperty("--card", `${8.56 * long}px`);
    this.slider.value = String(8.56 * long);
    this.slider.setAttribute("aria-valuetext", matchSays(long));
    this.querySelector("[data-stands]").textContent = this.match
      ? `This screen is matched: a centimetre of it has ${matchSays(long)}.`
      : "Without a match the screen is taken to have 96 px to the inch, as browsers do; what is shown may then be somewhat too large or too small.";
  }
}

customElements.define("screen-size", ScreenSize);
