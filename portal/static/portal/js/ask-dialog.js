/* <ask-dialog data-title="…"><details><summary>…</summary><div>…</div></details></ask-dialog>
   Without it: the details unfold in the page. With it: the summary is a button that opens a modal <dialog>.
   Keys: those of the native dialog (Escape closes, Tab stays inside). Pattern: dialog (modal). */

class AskDialog extends HTMLElement {
  connectedCallback() {
    const details = this.querySelector(":scope > details");
    if (!details) return;
    const summary = details.querySelector("summary");
    const opener = document.createElement("button");
    opener.type = "button";
    opener.className = summary.className;
    opener.textContent = summary.textContent;
    opener.setAttribute("aria-haspopup", "dialog");

    const dialog = document.createElement("dialog");
    const head = document.createElement("div");
    head.className = "dialog-head";
    const title = document.createElement("h2");
    title.className = "dialog-title";
    title.id = `dialog-${crypto.randomUUID?.() ?? Math.random().toString(36).slice(2)}`;
    title.textContent = this.dataset.title;
    const close = document.createElement("button");
    close.type = "button";
    close.className = "button button-plain";
    close.textContent = "Close";
    head.append(title, close);
    dialog.setAttribute("aria-labelledby", title.id);
    dialog.append(head, ...details.querySelector("summary + *").children);
    dialog.classList.add("stack");

    opener.addEventListener("click", () => dialog.showModal());
    close.addEventListener("click", () => dialog.close());
    details.replaceWith(opener, dialog);
    // A refused form inside comes back open, so that its errors are seen.
    if (dialog.querySelector(".form-errors")) dialog.showModal();
  }
}

customElements.define("ask-dialog", AskDialog);
