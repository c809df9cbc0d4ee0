/* The sums without a brew, worked out on the phone. */
import { say } from "../modules/words.js";
import { cautions, figure, findings, h, link, urgencyClass } from "./draw.js";
import { complain, drawn, quiet, texts, value } from "./fields.js";

let sums = null;
const loaded = async () => (sums ??= await import("./sums/index.js"));

/* `measures` are the units that the brewer reads, where the book has told them. */
export const reckonView = (word, measures = {}) => {
  const box = h("div", {}, h("h1", {}, say("Reckon")), h("p", { class: "soft" }, say("Opening the sums.")));
  loaded().then(({ SUMS, prefer }) => {
    prefer(measures);
    const found = SUMS.find((each) => each.word === word);
    box.replaceChildren(...(found ? sumOf(found, measures) : list(SUMS)));
  }, () => box.replaceChildren(h("h1", {}, say("Reckon")), h("p", {}, say("The sums could not be opened. They come along the next time that the book is in reach."))));
  return box;
};

const list = (all) => [h("h1", {}, say("Reckon")), h("ul", { class: "index" }, all.map((each) => h("li", {}, link(`#reckon/${each.word}`, [h("strong", {}, each.title), h("span", {}, each.question)]))))];

const inputs = (each) => (Array.isArray(each) ? each.join(": ") : typeof each === "string" ? each : [each.name, each.value].filter(Boolean).join(": ") + (each.basis ? ` (${each.basis})` : ""));
const shown = (each) => {
  const { working = {} } = each;
  return figure({ label: each.label, value: each.short, small: each.range, relation: working.relation ?? "", lines: [...(working.inputs ?? []).map(inputs), ...(working.steps ?? [])],
    cited: working.sources.map((key) => sums.SOURCES[key]) });
};

/* What stands beside it to choose from. */
const optionsOf = (options) => options.length > 0 && h("ul", { class: "options" }, options.map((each) => h("li", { class: each.chosen ? "chosen" : null }, h("h3", {}, each.name), each.words && h("p", {}, each.words),
  each.figures.length > 0 && h("dl", { class: "figures" }, each.figures.map(shown)))));

const sumOf = (sum, measures) => {
  const answer = h("div", { role: "status" });
  const form = h("form", { class: "entry", novalidate: true, autocomplete: "off" }, h("button", { class: "enter", tabindex: "-1", "aria-hidden": "true" }, say("Reckon")),
    sum.fields.map((field) => drawn({ ...field, unit: measures[field.dimensions[0]] ?? field.unit })), h("div", { class: "acts at-hand" }, h("button", { class: "button main" }, say("Reckon"))));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    quiet(form);
    const values = Object.fromEntries(Object.entries(texts(form, sum.fields)).map(([name, each]) => [name, value(each)]));
    const found = sum.reckon(values);
    if (found.errors) {
      answer.replaceChildren();
      found.errors.forEach(({ field, message }, place) => {
        if (!complain(form, field, h("span", {}, message), place === 0)) answer.append(h("p", { class: "error" }, message));
      });
      return;
    }
    answer.replaceChildren(...[h("section", { class: `answer ${urgencyClass(found.urgency)}` }, h("h2", { class: "headline" }, found.headline), found.why && h("p", { class: "why" }, found.why)),
      found.missing && h("p", { class: "missing" }, found.missing), h("dl", { class: "figures" }, found.figures.map(shown)), optionsOf(found.options), findings(found.findings), cautions(found.cautions), found.rule_of_thumb && h("p", { class: "thumbrule" }, found.rule_of_thumb),
      found.assumed.length > 0 && h("p", { class: "assumed" }, say("Assumed: {assumed}.", { assumed: found.assumed.join("; ") }))].filter(Boolean));
    answer.scrollIntoView({ block: "start" });
  });
  return [h("p", { class: "kicker" }, link("#reckon", say("Reckon"))), h("h1", {}, sum.title), h("p", {}, sum.question), answer, form];
};
