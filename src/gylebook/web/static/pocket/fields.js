/* The fields of an act or a sum, drawn and read. */
import { capital, say } from "../modules/words.js";
import { h } from "./draw.js";

const RADIOS = 4;
const named = (name) => `f-${name}`;

const hintOf = (field, mark) => {
  const without = field.default && field.reason && say("left out, {default} is taken: {reason}.", field);
  return (field.hint || without) && h("p", { class: "hint", id: `${mark}-hint` }, field.hint && without ? `${field.hint}; ${without}` : field.hint || capital(without));
};

const choices = (field, options, text) => h("div", { class: "choices" }, options.map(({ value, words }) => h("label", {},
  h("input", { type: "radio", name: field.name, value, checked: value === text }), h("span", {}, words))));

/* One field; `text` is what stands in it. */
export const drawn = (field, text = "") => {
  const mark = named(field.name);
  const options = field.kind === "flag" ? [{ value: "yes", words: say("yes") }, { value: "no", words: say("no") }] : (field.choices ?? []);
  const needed = field.required ? null : h("small", {}, " ", say("(may stay empty)"));
  const error = h("p", { class: "error", role: "alert", hidden: true });
  const told = { id: mark, name: field.name, autocomplete: "off", "aria-describedby": field.hint ? `${mark}-hint` : null };
  if (options.length && options.length <= RADIOS) {
    const own = field.required ? options : [...options, { value: "", words: say("not said") }];
    return h("fieldset", { class: "field", "data-field": field.name }, h("legend", {}, field.label, needed), hintOf(field, mark), choices(field, own, text), error);
  }
  let input;
  const units = field.units ?? [];
  if (options.length) {
    input = [h("select", told, h("option", { value: "" }, say("not said")), options.map(({ value, words }) => h("option", { value, selected: value === text }, words)))];
  } else if (field.kind === "long text") {
    input = [h("textarea", { ...told, rows: 4 }, text)];
  } else if (field.kind === "quantity" || field.kind === "count") {
    const { number, unit } = units.length ? apart(text, units) : { number: text, unit: "" };
    input = [h("input", { ...told, class: "short", type: "text", value: number, inputmode: field.kind === "count" ? "numeric" : "decimal" })];
    if (units.length > 1) {
      input.push(h("select", { class: "unit", name: `${field.name} unit`, "aria-label": say("{label}, unit", field) },
        units.map((symbol) => h("option", { value: symbol, selected: symbol === (unit || field.unit || units[0]) }, symbol))));
    } else if (units.length) input.push(h("span", { class: "unit" }, units[0]));
  } else {
    const offers = field.offers ?? [];
    input = [h("input", { ...told, type: field.kind === "date" ? "date" : "text", value: text, enterkeyhint: "next", list: offers.length ? `${mark}-list` : null })];
    if (offers.length) input.push(h("datalist", { id: `${mark}-list` }, offers.map((value) => h("option", { value }))));
  }
  return h("div", { class: "field", "data-field": field.name }, h("label", { for: mark }, field.label, needed), hintOf(field, mark), h("div", { class: "inputs" }, input), error);
};

const apart = (text, units) => {
  const unit = units.filter((symbol) => text.endsWith(` ${symbol}`)).sort((a, b) => b.length - a.length)[0] ?? "";
  return { number: unit ? text.slice(0, -unit.length - 1) : text, unit };
};

/* What stands in a form: text and chosen unit by field. */
export const texts = (form, fields) => {
  const data = new FormData(form);
  return Object.fromEntries(fields.map((field) => {
    const text = String(data.get(field.name) ?? "").trim();
    const only = field.units?.length === 1 ? field.units[0] : "";
    return [field.name, { text, unit: String(data.get(`${field.name} unit`) ?? only) }];
  }));
};

/* As it is sent: a bare number takes the unit that stands beside it, whatever the book's preference is by then. */
export const value = ({ text, unit }) => (text && unit && /[\d.,]$/u.test(text) ? `${text} ${unit}` : text);

export const setText = (form, name, text) => {
  const input = form.elements[name];
  if (!input) return;
  input.value = text;
};

/* Show a sentence at its field, with what can be done about it; the first of them gets the hand. */
export const complain = (form, name, inside, hand) => {
  const box = form.querySelector(`[data-field="${CSS.escape(name)}"]`);
  if (!box) return null;
  box.closest("details")?.setAttribute("open", "");
  box.classList.add("wrong");
  const error = box.querySelector(".error");
  error.replaceChildren(...[inside].flat().filter(Boolean));
  error.hidden = false;
  if (hand) box.querySelector("input, select, textarea")?.focus();
  return error;
};
export const quiet = (form) => {
  for (const box of form.querySelectorAll(".wrong")) box.classList.remove("wrong");
  for (const error of form.querySelectorAll(".error")) error.hidden = true;
};
