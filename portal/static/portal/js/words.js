/* Words with numbers in them, without DOM. The narrow space is the one that measurements on the pages have. */

const NARROW = "\u202f";

/* A file's size as people read it: "812 kB", "3.4 MB". Decimal units, as makers of storage count. */
export function fileSize(bytes) {
  if (bytes < 1000) return `${bytes}${NARROW}B`;
  const [unit, name] = bytes < 999_500 ? [1e3, "kB"] : bytes < 999_500_000 ? [1e6, "MB"] : [1e9, "GB"];
  const value = bytes / unit;
  return `${value < 9.95 ? value.toFixed(1) : Math.round(value)}${NARROW}${name}`;
}

/* What is about to be sent: "No file is chosen.", "One file, 3.4 MB.", "12 files, 48 MB." */
export function filesSay(sizes) {
  const total = fileSize(sizes.reduce((sum, size) => sum + size, 0));
  if (sizes.length === 0) return "No file is chosen.";
  return sizes.length === 1 ? `One file, ${total}.` : `${sizes.length} files, ${total}.`;
}

export const percentSays = (value) => `${Math.round(value)}${NARROW}%`;

/* An address from a template with {x} and {y}. */
export const addressAt = (template, x, y) => template.replace("{x}", x.toFixed(5)).replace("{y}", y.toFixed(5));

/* The index of the neighbour `by` steps along a row of `length`, round its ends; -1 in an empty row. */
export const neighbour = (length, at, by) => (length === 0 ? -1 : (((Math.max(at, 0) + by) % length) + length) % length);

/* What is said when an answer is no page: the words in the answer, else these. */
export function refusalSays(status) {
  if (status === 0) return "The portal cannot be reached. What you typed is still here: try again when you are online.";
  if (status === 403) return "You may not do this in this campaign.";
  if (status === 404) return "That is no longer here. Load the page again to see what is.";
  if (status === 413) return "That is more than the portal takes at once.";
  if (status === 429) return "That was asked too often. Wait a minute, then try again.";
  return "The portal could not do this. Nothing was changed: try again, and tell whoever runs it if it happens twice.";
}
