/* The line of the stage: left of it the bare picture, right of it the layout laid over. Pattern: slider; arrows 1 %,
   Page Up and Down 10 %, Home and End, or drag. */
import { pointIn, stepped } from "./geometry.js";
import { percentSays } from "./words.js";

export function makeLine(frame, layer, signal) {
  const line = document.createElement("div");
  line.className = "stage-line";
  line.tabIndex = 0;
  for (const [name, value] of Object.entries({ role: "slider", "aria-label": "Line between the bare picture and the layout", "aria-valuemin": 0, "aria-valuemax": 100, "aria-orientation": "horizontal" })) line.setAttribute(name, value);
  const sides = ["bare", "over"].map((side) => {
    const word = document.createElement("span");
    word.className = `stage-side stage-side-${side}`;
    word.textContent = side === "bare" ? "bare" : "laid over";
    return word;
  });
  let at = 50;

  function put(value) {
    at = value;
    line.style.left = `${at}%`;
    layer.style.clipPath = `inset(0 0 0 ${at}%)`;
    line.setAttribute("aria-valuenow", String(Math.round(at)));
    line.setAttribute("aria-valuetext", `line at ${percentSays(at)}`);
  }

  line.addEventListener("keydown", (event) => {
    const to = stepped(event.key, at);
    if (to === null) return;
    event.preventDefault();
    event.stopPropagation();
    put(to);
  }, { signal });
  const drag = (event) => put(100 * pointIn(frame.getBoundingClientRect(), event.clientX, 0).x);
  line.addEventListener("pointerdown", (event) => { line.setPointerCapture(event.pointerId); drag(event); }, { signal });
  line.addEventListener("pointermove", (event) => { if (line.hasPointerCapture(event.pointerId)) drag(event); }, { signal });

  return {
    show() { frame.append(...sides, line); put(at); },
    hide() { for (const part of [...sides, line]) part.remove(); layer.style.clipPath = ""; },
  };
}
