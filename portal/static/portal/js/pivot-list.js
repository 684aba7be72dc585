/* The entries that are kept on this phone, as lines: what each says, why it was not taken, and what can be done. */

export function keptList(entries, page) {
  return entries.map((entry) => {
    const line = document.createElement("li");
    const said = document.createElement("div");
    said.append(part("p", entry.what));
    if (entry.says) said.append(part("p", entry.says, "wrong"));
    const can = document.createElement("div");
    can.className = "row";
    if (entry.state === "refused") {
      can.append(button("Try again", () => page.sendAgain(entry)));
      if (page.form) can.append(button("Put it back in the form", () => page.mend(entry)));
    } else said.append(part("p", "waits", "quiet"));
    can.append(button("Throw it away", () => page.throwAway(entry)));
    line.append(said, can);
    return line;
  });
}

function part(name, text, style = "") {
  const made = document.createElement(name);
  made.textContent = text;
  if (style) made.className = style;
  return made;
}

function button(text, does) {
  const made = part("button", text, "button button-plain");
  made.type = "button";
  made.addEventListener("click", does);
  return made;
}
