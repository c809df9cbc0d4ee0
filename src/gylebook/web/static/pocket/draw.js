/* Pieces of a page. Texts are only ever set as text. */
import { counted, locale, say } from "../modules/words.js";

export const h = (tag, more = {}, ...inside) => {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(more)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
    else if (value === true) made.setAttribute(name, "");
    else made.setAttribute(name, value);
  }
  made.append(...inside.flat(Infinity).filter((each) => each !== null && each !== undefined && each !== false && each !== ""));
  return made;
};

export const link = (to, words, more = {}) => h("a", { href: to, ...more }, words);
export const button = (words, act, more = {}) => h("button", { type: "button", class: "button", onclick: act, ...more }, words);

/* The book tells how soon a hand is wanted by an English word, whatever the language. */
const URGENCIES = {
  "Danger": ["danger", say("Danger")], "Act today": ["act", say("Act today")], "Measure": ["measure", say("Measure")], "Wait": ["wait", say("Wait")],
  "Nothing to do": ["nothing", say("Nothing to do")],
};
export const urgencyClass = (urgency) => `u-${URGENCIES[urgency]?.[0] ?? "nothing"}`;
export const urgency = (word) => h("p", { class: "urgency" }, URGENCIES[word]?.[1] ?? word);

export const cautions = (lines) => lines.length > 0 && h("div", { class: "cautions" }, h("p", { class: "urgency" }, say("Take care")),
  h("ul", {}, lines.map((line) => h("li", {}, line))));

export const findings = (found) => found.length > 0 && h("ul", { class: "findings" }, found.map((each) => h("li", { class: urgencyClass(each.urgency) },
  h("span", { class: "urgency" }, urgencyClass(each.urgency) === "u-nothing" ? say("By the way") : URGENCIES[each.urgency][1]), each.text, each.check && h("p", { class: "check" }, each.check))));

/* A reckoned figure that opens its working. */
export const figure = ({ label, value, small, relation, lines, cited }) => h("div", {}, h("dt", {}, label), h("dd", {},
  h("details", { class: "fig" }, h("summary", {}, h("span", { class: `value${value.length > 16 ? " long" : ""}` }, value), small && [" ", h("small", {}, small)]),
    h("div", { class: "working" }, relation && h("p", { class: "relation" }, relation),
      lines.length ? h("ul", { class: "sums" }, lines.map((line) => h("li", {}, line))) : h("p", {}, say("Its working is on the brew's page; this card was made before workings were kept.")),
      cited.length > 0 && h("ul", { class: "cited" }, cited.map((line) => h("li", {}, line)))))));

export const moment = (at, zone) => {
  if (!Number.isFinite(new Date(at).getTime())) return "";
  const form = { weekday: "short", day: "numeric", month: "short", hour: "2-digit", minute: "2-digit" };
  try { return new Intl.DateTimeFormat(locale, { ...form, timeZone: zone || undefined }).format(new Date(at)); } catch {
    return new Intl.DateTimeFormat(locale, form).format(new Date(at));
  }
};
export const ago = (ms) => {
  const minutes = Math.round(ms / 60_000);
  if (minutes < 2) return say("just now");
  if (minutes < 120) return counted(minutes, "{n} minute ago", "{n} minutes ago");
  const hours = Math.round(minutes / 60);
  return hours < 48 ? counted(hours, "{n} hour ago", "{n} hours ago") : counted(Math.round(hours / 24), "{n} day ago", "{n} days ago");
};
export const span = (ms) => {
  const minutes = Math.round(Math.abs(ms) / 60_000);
  return minutes < 120 ? counted(minutes, "{n} minute", "{n} minutes") : counted(Math.round(minutes / 60), "{n} hour", "{n} hours");
};
