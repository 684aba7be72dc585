/* A table that a phone shows as blocks stays a table to those who hear it: "display: block" would take its roles away. */

const ROLES = { TABLE: "table", THEAD: "rowgroup", TBODY: "rowgroup", TFOOT: "rowgroup", TR: "row", TD: "cell" };

function name(within) {
  for (const table of within.querySelectorAll?.("table.table") ?? []) {
    for (const part of [table, ...table.querySelectorAll("thead, tbody, tfoot, tr, td, th")]) {
      part.setAttribute("role", ROLES[part.tagName] ?? (part.scope === "row" ? "rowheader" : "columnheader"));
    }
  }
}

name(document);
document.addEventListener("htmx:load", (event) => name(event.detail.elt.parentElement ?? event.detail.elt));
