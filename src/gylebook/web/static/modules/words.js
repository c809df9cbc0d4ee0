/* Every sentence that a script writes, in the page's language: English stands in the code, another language in the
   catalogue that the page names. It is there before any module that imports this one runs. */
const { lang, dataset } = document.documentElement;
/* A catalogue that cannot be had leaves a page in English, which is better than none. */
const catalogue = dataset.words ? await fetch(dataset.words).then((answer) => (answer.ok ? answer.json() : {})).catch(() => ({})) : {};

/* For days and months; the book's English writes them the British way, whatever its units are. */
export const locale = !lang || lang.startsWith("en") ? "en-GB" : lang;
const mark = new Intl.NumberFormat(locale).formatToParts(1.5).find((part) => part.type === "decimal").value;
const rules = new Intl.PluralRules(locale);
const kinds = ["zero", "one", "two", "few", "many", "other"].filter((kind) => rules.resolvedOptions().pluralCategories.includes(kind));

const filled = (template, parts) => (parts ? template.replace(/\{(\w+)\}/gu, (all, name) => parts[name]) : template);

/* What becomes of a template before its parts are put in; whoever knows the reader's units turns amounts in it. */
let turned = (template) => template;
export const turn = (how) => { turned = how; };

/* A sentence, or a piece of one, from a template with its parts in braces. */
export const say = (template, parts) => filled(turned(catalogue[template] ?? template), parts);

/* The same by a number, `{n}`: one template for one, another for more; other languages may have further ones. */
export const counted = (n, one, more, parts) => {
  const forms = catalogue[one];
  const template = Array.isArray(forms) ? forms[Math.min(kinds.indexOf(rules.select(n)), forms.length - 1)] : n === 1 ? one : more;
  return filled(template, { ...parts, n });
};

/* Digits as 1.012, with the language's decimal mark. */
export const number = (text) => text.replace(".", mark);

export const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);
