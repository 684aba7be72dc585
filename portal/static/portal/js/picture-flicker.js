/* <picture-flicker>: two pictures, as it was and as it is, laid one over the other and seen in turn.
   Without JavaScript they stand side by side, and so they do at first.
   Keys while the pictures have the focus: left arrow as it was, right arrow as it is, Space turns, Escape puts them side by
   side again. Flickering turns them by itself, well below three times a second (WCAG 2.2, 2.3.1), and is stopped by the same
   button (2.2.2); a key held down turns once. Whoever asks for less motion is not offered it. Pattern: toggle buttons. */
const PERIOD = 900; // ms that each picture stands
const still = matchMedia("(prefers-reduced-motion: reduce)");

class PictureFlicker extends HTMLElement {
  connectedCallback() {
    this.lay = this.querySelector("[data-flicker]");
    if (!this.lay || this.pair) return;
    this.pair = this.querySelector(".flicker-pair");
    this.label = this.lay.textContent;
    this.turn = this.querySelector("[data-turn]");
    this.run = this.querySelector("[data-run]");
    this.says = this.querySelector("[data-says]");
    this.lay.addEventListener("click", () => this.set(!this.laid));
    this.turn.addEventListener("click", () => this.stopThen(() => this.show(!this.now)));
    this.run.addEventListener("click", () => (this.timer ? this.stop() : this.start()));
    this.pair.addEventListener("keydown", (event) => this.key(event));
    this.motion = () => still.matches && this.set(this.laid);
    still.addEventListener("change", this.motion);
  }

  disconnectedCallback() {
    this.stop?.();
    still.removeEventListener("change", this.motion);
  }

  get laid() {
    return this.hasAttribute("data-laid");
  }

  get now() {
    return this.getAttribute("data-shows") !== "was";
  }

  set(laid) {
    this.stop();
    this.toggleAttribute("data-laid", laid);
    this.lay.textContent = laid ? "Side by side" : this.label;
    this.turn.hidden = !laid;
    this.run.hidden = !laid || still.matches;
    if (laid) {
      this.pair.tabIndex = 0;
      this.pair.setAttribute("role", "group");
      this.pair.setAttribute("aria-label", `${this.dataset.what}: left arrow as it was, right arrow as it is`);
      this.show(true);
      this.pair.focus({ preventScroll: true });
      // Where they stood one below the other, the page has become shorter above the button.
      this.pair.scrollIntoView({ block: "nearest" });
    } else {
      for (const name of ["tabindex", "role", "aria-label"]) this.pair.removeAttribute(name);
      this.says.textContent = "";
    }
  }

  show(now, aloud = true) {
    this.setAttribute("data-shows", now ? "now" : "was");
    const caption = this.querySelector(now ? "[data-now] figcaption" : "[data-was] figcaption");
    if (aloud) this.says.textContent = caption?.textContent ?? "";
  }

  start() {
    this.says.textContent = "";
    this.run.setAttribute("aria-pressed", "true");
    this.timer = setInterval(() => this.show(!this.now, false), PERIOD);
  }

  stop() {
    clearInterval(this.timer);
    this.timer = 0;
    this.run?.setAttribute("aria-pressed", "false");
  }

  stopThen(act) {
    this.stop();
    act();
  }

  key(event) {
    if (!this.laid || event.target !== this.pair || event.altKey || event.ctrlKey || event.metaKey) return;
    const acts = {
      ArrowLeft: () => this.show(false),
      ArrowRight: () => this.show(true),
      " ": () => this.show(!this.now),
      Escape: () => {
        this.set(false);
        this.lay.focus();
      },
    };
    if (!acts[event.key]) return;
    event.preventDefault();
    if (event.repeat) return;
    this.stopThen(acts[event.key]);
  }
}

customElements.define("picture-flicker", PictureFlicker);
