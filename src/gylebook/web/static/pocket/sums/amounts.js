/* Amounts as they are written and as they are shown, to the digit as the book does it. */
import { COUNTRYLESS, UNITS } from "./tables.js";

/* Something written that cannot be read: one sentence that names the field, what was wrong and what to do. */
export class InputError extends Error {
  constructor(field, problem, remedy, suggestion = "") {
    super(`${field}: ${problem}; ${remedy}.${suggestion && ` Did you mean ${suggestion}?`}`);
    Object.assign(this, { field, problem, suggestion });
  }
}

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
  if (power >= -4 && power < figures) return bare(fixed(value, figures - 1 - power));
  const [front] = value.toExponential(figures - 1).split("e");
  return `${bare(front)}e${power[0]}${power.slice(1).padStart(2, "0")}`;
};

export const show = (value, digits) => {
  if (Number.isNaN(value)) return "not known";
  const text = fixed(value, digits);
  return (Number(text) ? text : text.replace("-", "")).replace("-", "−");
};

export const plain = (value) => show(value, 3).replace(/0+$/, "").replace(/\.$/, "");

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

/* One number, with point or comma; with both, the later one is the decimal mark. Spaces group thousands. */
export const parseNumber = (text, field) => {
  const shown = text.trim();
  const free = shown.replaceAll("−", "-").replace(/[\u00a0\u202f]/g, " ").replaceAll("- ", "-");
  const match = /^([-+]?)(\d[\d.,\s]*|[.,]\d+)$/.exec(free);
  if (!match || free.length > 32)
    throw new InputError(field, shown ? `“${start(shown, 40)}” is not a number` : "nothing was written", "write digits, such as 21.5 or 21,5");
  let body = match[2].replace(/\s/g, "");
  const last = Math.max(body.lastIndexOf("."), body.lastIndexOf(","));
  if (last >= 0) {
    const mark = body[last], whole = body.slice(0, last), grouped = whole.replaceAll(mark === "." ? "," : ".", "");
    if (whole.includes(mark) || /\D/.test(grouped))
      throw new InputError(field, `“${shown}” has more than one decimal mark`, "write it without separators");
    body = `${grouped || 0}.${body.slice(last + 1) || 0}`;
  }
  return Number(match[1] + body);
};

/* "21.5 L", "68F", or a bare number in the usual unit. A gallon, pint or fluid ounce needs its country. */
export const readQuantity = (text, dimension, field, usual = OF[dimension][0].symbol) => {
  const match = /^\s*([-+−]?\s*(?:\d[\d.,\u00a0\u202f]*(?:\s\d{3})*|[.,]\d+))\s*([^\d].*?)?\s*$/.exec(text);
  if (!match) {
    parseNumber(text, field);
    throw new InputError(field, `“${start(text.trim(), 40)}” was not understood`, "write a number and its unit");
  }
  const number = match[1].trim(), word = (match[2] ?? "").trim();
  parseNumber(number, field);
  if (!word) return new Quantity(number, usual);
  const key = word.toLowerCase().replace(/\.+$/, "").replace(/\s+/g, " ");
  if (dimension === "volume" && Object.hasOwn(COUNTRYLESS, key))
    throw new InputError(field, `${COUNTRYLESS[key]} differ by a fifth between the UK and the US`, `write “imp ${key}” or “US ${key}”, or give litres`);
  const found = SPELT[dimension].get(key);
  if (found) return new Quantity(number, found.symbol);
  const known = OF[dimension].map((each) => each.symbol).filter(Boolean).join(", ") || "no unit";
  throw new InputError(field, `“${start(word, 20)}” is not a unit for this`, `use ${known}`);
};
