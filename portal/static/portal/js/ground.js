/* The ground a person has chosen, kept in a cookie so that the server draws the next page in it.
   Without it, and without JavaScript, the page follows the device. Buttons: data-choose-ground="light", "dark" or "". */

const YEAR = 31536000;
const root = document.documentElement;

function show() {
  for (const button of document.querySelectorAll("[data-choose-ground]")) {
    button.setAttribute("aria-pressed", String(button.dataset.chooseGround === (root.dataset.ground ?? "")));
  }
}

document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-choose-ground]");
  if (!button) return;
  const ground = button.dataset.chooseGround;
  document.cookie = `ground=${ground}; path=/; max-age=${ground ? YEAR : 0}; samesite=lax`;
  if (ground) root.dataset.ground = ground;
  else delete root.dataset.ground;
  document.querySelector('meta[name="color-scheme"]')?.setAttribute("content", ground || "light dark");
  show();
});

show();
