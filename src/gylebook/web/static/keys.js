/* One-letter keys for a keyboard at hand: each element with data-key="x" is reached by x, and ? shows which are valid
   here. Everything works without this file; the keys can be switched off, and stay off in this browser. */
import { say } from "./modules/words.js";

const STORE = "gylebook-keys";

const isOff = () => {
  try { return localStorage.getItem(STORE) === "off"; } catch { return false; }
};
const setOff = (off) => {
  try { localStorage.setItem(STORE, off ? "off" : "on"); } catch { /* kept for this page only */ }
};
const isTyping = (target) => target.closest("input:not([type=radio], [type=checkbox]), textarea, select, [contenteditable]");

const keysHere = () => {
  const found = new Map();
  for (const element of document.querySelectorAll("[data-key]")) {
    if (!found.has(element.dataset.key)) found.set(element.dataset.key, element);
  }
  return found;
};
const wordsOf = (element) => {
  const label = element.id && document.querySelector(`label[for="${element.id}"]`);
  return (element.getAttribute("aria-label") || label?.textContent || element.textContent).trim().replace(/\s+/g, " ");
};

const show = () => {
  document.querySelector("dialog.keys")?.remove();
  const dialog = document.createElement("dialog");
  dialog.className = "keys";
  dialog.setAttribute("aria-label", say("Keys on this page"));
  const list = document.createElement("dl");
  const line = (key, words) => {
    const term = document.createElement("dt");
    const letter = document.createElement("kbd");
    letter.textContent = key;
    term.append(letter);
    const text = document.createElement("dd");
    text.textContent = words;
    list.append(term, text);
  };
  for (const [key, element] of keysHere()) line(key, wordsOf(element));
  line("?", say("this list; Esc closes it"));
  const off = document.createElement("button");
  off.className = "button";
  off.textContent = isOff() ? say("Switch the keys on") : say("Switch the keys off");
  off.addEventListener("click", () => { setOff(!isOff()); dialog.close(); });
  dialog.append(list, off);
  dialog.addEventListener("close", () => dialog.remove());
  document.body.append(dialog);
  dialog.showModal();
};

document.addEventListener("keydown", (event) => {
  if (event.defaultPrevented || event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
  if (isTyping(event.target) || document.querySelector("dialog[open]") || isOff()) return;
  if (event.key === "?") {
    event.preventDefault();
    show();
    return;
  }
  const element = keysHere().get(event.key);
  if (!element) return;
  event.preventDefault();
  if (element.matches("input, select, textarea")) element.focus();
  else element.click();
});

document.querySelector("a[data-keys]")?.addEventListener("click", (event) => {
  event.preventDefault();
  show();
});
