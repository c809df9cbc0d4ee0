/* Amounts as they are written and as they are shown, to the digit as the book does it. */
import { number, say, turn } from "../../modules/words.js";
import { COUNTRYLESS, FAMILIES, FINEST, TOO_FINE, UNITS } from "./tables.js";

/* Something written that cannot be read: one sentence that names the field, what was wrong and what to do. */
export class InputError extends Error {
  constructor(field, problem, remedy, suggestion = "") {
    super(say("{field}: {problem}; {remedy}.{tail}", { field, problem, remedy, tail: suggestion && say(" Did you mean {suggestion}?", { suggestion }) }));
    Object.assign(this, { field, problem, suggestion });
  }
}

/* A fault that tells what was meant better than any other reading of the same text would. */
const known = (error) => Object.assign(error, { known: true });

/* Several at once, so that one look mends them all. */
export class InputErrors extends Error {
  constructor(errors) {
    super();
    this.errors = errors;
  }
}

export const start = (text, length) => [...text].slice(0, length).join("");

/* Fixed decimals of the exact value; where it lies halfway the even digit, while toFixed takes the larger. */
export const fixed = (value, digits) => {
  const size = Math.abs(value);
  let text;
  if (size >= 1e21) text = BigInt(size) + (digits ? `.${"0".repeat(digits)}` : "");
  else {
    text = size.toFixed(digits);
    const longer = size.toFixed(digits + 1);
    if (longer.endsWith("5") && Number.isInteger(size * 2 ** (digits + 1)) && /[13579]$/.test(text))
      text = longer.slice(0, digits ? -1 : -2);
  }
  return (value < 0 || Object.is(value, -0) ? "-" : "") + text;
};

const bare = (text) => text.includes(".") ? text.replace(/\.?0+$/, "") : text;

/* So many figures that mean something, without closing noughts. */
export const general = (value, figures = 6) => {
  const [, power] = value.toExponential(figures - 1).split("e");
  if (power >= -4 && power < figures) return number(bare(fixed(value, figures - 1 - power)));
  const [front] = value.toExponential(figures - 1).split("e");
  return number(`${bare(front)}e${power[0]}${power.slice(1).padStart(2, "0")}`);
};

export const show = (value, digits) => {
  if (Number.isNaN(value)) return say("not known");
  const text = fixed(value, digits);
  return number((Number(text) ? text : text.replace("-", "")).replace("-", "−"));
};

export const plain = (value) => show(value, 3).replace(/0+$/, "").replace(/[.,]$/, "");

/* To tens, halfway to the even one. */
export const tens = (value) => {
  const over = value % 10, low = value - over;
  return fixed(over > 5 || (over === 5 && low / 10 % 2) ? low + 10 : low, 0);
};

export const DIMENSIONS = [...new Set(UNITS.map((unit) => unit[1]))];
const unit = ([symbol, dimension, factor, offset, label, spellings]) => ({ symbol, dimension, factor, offset, label, spellings });
const OF = Object.fromEntries(DIMENSIONS.map((name) => [name, UNITS.filter((each) => each[1] === name).map(unit)]));
export const unitsOf = (dimension) => OF[dimension];
const SPELT = Object.fromEntries(DIMENSIONS.map((name) => [
  name, new Map(OF[name].flatMap((each) => [each.symbol, ...each.spellings].map((word) => [word.toLowerCase(), each]))),
]));

export class Quantity {
  constructor(text, unit) {
    Object.assign(this, { text, unit });
  }

  number() {
    return parseNumber(this.text, "number");
  }

  to(symbol, dimension) {
    const of = (name) => OF[dimension].find((each) => each.symbol === name);
    const from = of(this.unit), into = of(symbol), value = this.number();
    return from === into ? value : (from.factor * value + from.offset - into.offset) / into.factor;
  }

  base(dimension) {
    return this.to(OF[dimension][0].symbol, dimension);
  }

  /* One step of the last digit that was written. */
  resolution() {
    const parts = this.text.replace(/[^\d.,]/g, "").split(/[.,]/);
    return Number(`1e-${parts.length > 1 ? parts.at(-1).length : 0}`);
  }

  toString() {
    return `${this.text} ${this.unit}`.trimEnd();
  }
}

/* --- the units that the brewer reads, as the book itself chooses them --- */

let wanted = {};
export const prefer = (measures) => { wanted = measures ?? {}; turn(fixedAmounts); };
export const preferred = (dimension) => wanted[dimension];

const MEASURED = Object.fromEntries(["mass", "volume", "temperature", "pressure", "co2"].flatMap((name) => OF[name].map((each) => [each.symbol, name])));
const chosen = (value, symbol) => {
  const dimension = MEASURED[symbol], own = dimension && wanted[dimension];
  if (!own || own === symbol) return symbol;
  for (const family of FAMILIES[dimension] ?? []) {
    const has = (name) => family.some(([each]) => each === name);
    if (!has(own)) continue;
    if (has(symbol)) return symbol;
    const base = Math.abs(converted(value, symbol, OF[dimension][0].symbol));
    const [fine, smallest] = TOO_FINE[dimension] ?? ["", 0];
    if (base < smallest && family !== FAMILIES[dimension][0]) return fine;
    return family.find(([, from]) => base >= from)?.[0] ?? own;
  }
  return own;
};
const unitOf = (symbol) => OF[MEASURED[symbol]].find((each) => each.symbol === symbol);
const converted = (value, symbol, into) => {
  const from = unitOf(symbol), to = unitOf(into);
  return from === to ? value : (from.factor * value + from.offset - to.offset) / to.factor;
};

/* Values that go together, one of which settles the unit, with decimals that keep about their fineness. */
export const inUnits = (values, symbol, digits, by = values[0]) => {
  const into = chosen(by, symbol);
  if (into === symbol) return [values, symbol, digits];
  const fine = Math.max(0, Math.ceil(-Math.log10(10 ** -digits * unitOf(symbol).factor / unitOf(into).factor) - 0.3));
  return [values.map((value) => converted(value, symbol, into)), into, fine];
};

/* A number with its unit, told in the brewer's; as many figures as it has where no decimals are named. */
export const amount = (value, digits, symbol) => (Number.isNaN(value) ? say("not known")
  : withUnit([value], digits ?? (general(value).split(/[.,]/)[1] ?? "").length, symbol));
const withUnit = (values, digits, symbol, between = "") => {
  const [told, unit, fine] = inUnits(values, symbol, digits, Math.max(...values.map(Math.abs)));
  const shown = unit === symbol ? digits : Math.min(fine, Math.max(digits, FINEST[unit] ?? digits));
  return `${told.map((value) => show(value, shown)).join(` ${between} `)} ${unit}`;
};

/* An amount that stands in a template itself, as in "a room of 20 °C". */
const FIXED = /(^|[^\w.,{}/×·−-])(\d+(?:\.\d+)?)(?: (to|and|or) (\d+(?:\.\d+)?))? (°C|L|mL|kg|g|bar)(?![\w/°²³])(?! CO2)/g;
const BOTH = /\d (?:°F|oz|imp gal|US gal|US-Gal)/; // a template that names an amount in both systems is left as it is
const fixedAmounts = (template) => BOTH.test(template) ? template : template.replace(FIXED, (all, before, low, between, high, symbol) => {
  const found = [low, high].filter(Boolean), values = found.map(Number);
  if (inUnits(values, symbol, 0)[1] === symbol) return all;
  return before + withUnit(values, Math.max(...found.map((each) => (each.split(".")[1] ?? "").length)), symbol, between);
});

/* One number, with point or comma; with both, the later one is the decimal mark. Spaces group thousands. */
export const parseNumber = (text, field) => {
  const shown = text.trim();
  const free = shown.replaceAll("−", "-").replace(/[\u00a0\u202f]/g, " ").replaceAll("- ", "-");
  const match = /^([-+]?)(\d[\d.,\s]*|[.,]\d+)$/.exec(free);
  if (!match || free.length > 32)
    throw shown ? known(new InputError(field, say("“{text}” is not a number", { text: start(shown, 40) }), say("write digits, such as 21.5 or 21,5")))
      : new InputError(field, say("nothing was written"), say("write digits, such as 21.5 or 21,5"));
  let body = match[2].replace(/\s/g, "");
  const last = Math.max(body.lastIndexOf("."), body.lastIndexOf(","));
  if (last >= 0) {
    const mark = body[last], whole = body.slice(0, last), grouped = whole.replaceAll(mark === "." ? "," : ".", "");
    if (whole.includes(mark) || /\D/.test(grouped))
      throw new InputError(field, say("“{text}” has more than one decimal mark", { text: shown }), say("write it without separators"));
    body = `${grouped || 0}.${body.slice(last + 1) || 0}`;
  }
  return Number(match[1] + body);
};

/* "21.5 L", "68F", or a bare number in the usual unit. A gallon, pint or fluid ounce needs its country. */
export const readQuantity = (text, dimension, field, usual = OF[dimension][0].symbol) => {
  const match = /^\s*([-+−]?\s*(?:\d[\d.,\u00a0\u202f]*(?:\s\d{3})*|[.,]\d+))\s*([^\d].*?)?\s*$/.exec(text);
  if (!match) {
    parseNumber(text, field);
    throw new InputError(field, say("“{text}” was not understood", { text: start(text.trim(), 40) }), say("write a number and its unit"));
  }
  const digits = match[1].trim(), word = (match[2] ?? "").trim();
  parseNumber(digits, field);
  if (!word) return new Quantity(digits, usual);
  const key = word.toLowerCase().replace(/\.+$/, "").replace(/\s+/g, " ");
  if (dimension === "volume" && Object.hasOwn(COUNTRYLESS, key))
    throw known(new InputError(field, say("{measure} differ by a fifth between the UK and the US", { measure: COUNTRYLESS[key] }), say("write “imp {key}” or “US {key}”, or give litres", { key })));
  const found = SPELT[dimension].get(key);
  if (found) return new Quantity(digits, found.symbol);
  const units = OF[dimension].map((each) => each.symbol).filter(Boolean).join(", ") || say("no unit");
  throw new InputError(field, say("“{word}” is not a unit for this", { word: start(word, 20) }), say("use {units}", { units }));
};
