/* What a sum is asked: fields read, usual values where nothing was written, and figures with their workings. */
import { say } from "../../modules/words.js";
import { InputError, InputErrors, Quantity, general, inUnits, parseNumber, plain, preferred, readQuantity, show, start, unitsOf } from "./amounts.js";
import { platoFromSg, sgFromPlato } from "./mixtures.js";

export const URGENCY = { danger: "Danger", act: "Act today", measure: "Measure", nothing: "Nothing to do" };

const symbols = (dimension) => unitsOf(dimension).map((each) => each.symbol);
const dimensionOf = (quantity, dimensions) => dimensions.find((each) => symbols(each).includes(quantity.unit));

const likely = (value, quantity, dimension, [low, high]) => {
  const fits = (guess) => low <= guess && guess <= high;
  if (fits(value)) return "";
  if (dimension === "gravity")
    for (const guess of [value / 1000, 1 + value, 1 + value / 1000])
      if (fits(guess) && Math.abs(guess * 2000 - Math.round(guess * 2000)) < 1e-6)
        return show(guess, 4).replace(/0+$/, "").padEnd(5, "0");
  const other = { g: "kg", kg: "g", L: "mL", mL: "L", "°C": "°F" }[quantity.unit];
  const swapped = other && new Quantity(quantity.text, other);
  return swapped && fits(swapped.base(dimension)) ? `${swapped}` : "";
};

const readAny = (text, dimensions, label) => {
  let first;
  for (const dimension of dimensions)
    try {
      return readQuantity(text, dimension, label);
    } catch (error) {
      first ??= error;
    }
  throw first;
};

const read = (field, written) => {
  const text = written.replaceAll("\r\n", "\n").trim(), { label, kind, dimensions, possible } = field;
  if (!text) {
    if (field.required) throw new InputError(label, say("nothing was written"), say("write it; it cannot be left out"));
    return undefined;
  }
  if ([...text].length > (kind === "long text" ? 20000 : 300)) throw new InputError(label, say("this is too long to keep"), say("shorten it"));
  if (kind === "quantity") {
    const quantity = readAny(text, dimensions, label), dimension = dimensionOf(quantity, dimensions);
    if (dimension !== dimensions[0]) return quantity;
    const value = quantity.base(dimension);
    if (possible && !(possible[0] <= value && value <= possible[1]))
      throw new InputError(label, say("{quantity} cannot be", { quantity }), say("write a value from {low} to {high} {base}", { low: plain(possible[0]), high: plain(possible[1]), base: unitsOf(dimension)[0].symbol }).trimEnd(), likely(value, quantity, dimension, possible));
    return quantity;
  }
  if (kind === "count") {
    const number = parseNumber(text, label), [low, high] = possible;
    if (!Number.isInteger(number)) throw new InputError(label, say("“{text}” is not a whole number", { text }), say("count whole ones"));
    if (number < low || number > high) throw new InputError(label, say("{text} cannot be", { text }), say("write a whole number from {low} to {high}", { low: general(low), high: general(high) }));
    return number;
  }
  if (kind === "choice") {
    const key = text.toLowerCase();
    const found = field.choices.find(({ value, words }) => [value, words, value.replaceAll("_", " ")].some((each) => each.toLowerCase() === key));
    if (found) return found.value;
    throw new InputError(label, say("“{text}” is not one of the choices", { text: start(text, 40) }), say("choose one of: {known}", { known: field.choices.map((each) => each.value).join(", ") }));
  }
  return text;
};

export class Asked {
  constructor(fields, texts) {
    this.assumed = [];
    this.values = {};
    this.told = {};
    this.fields = {};
    const errors = [];
    for (const field of fields)
      try {
        this.take(field, read(field, `${texts[field.name] ?? ""}`));
      } catch (error) {
        if (!(error instanceof InputError)) throw error;
        errors.push(error);
      }
    if (errors.length) throw new InputErrors(errors);
  }

  take(field, written) {
    const value = written ?? (field.default ? read(field, field.default) : undefined);
    this.fields[field.name] = field;
    if (value === undefined) return;
    const words = field.choices.find((each) => each.value === value)?.words ?? `${value}`.trim().replaceAll("\n", "; ");
    const guessed = written === undefined;
    if (guessed) this.assumed.push(say("{label}: {in_words} ({reason})", { label: field.label, in_words: words, reason: field.reason }));
    this.values[field.name] = value;
    this.told[field.name] = { name: field.label, value: words, basis: guessed ? say("assumed") : say("asked for"), where: guessed ? field.reason : "" };
  }

  get givens() {
    return Object.values(this.told);
  }

  given(...names) {
    return names.filter((name) => name in this.told).map((name) => this.told[name]);
  }

  word(name) {
    return `${this.values[name] ?? ""}`;
  }

  /* In the base unit; undefined where nothing was written. */
  number(name) {
    const quantity = this.values[name];
    return quantity && quantity.base(dimensionOf(quantity, this.fields[name].dimensions));
  }

  gravity(name) {
    const quantity = this.values[name];
    if (!quantity) return undefined;
    const sg = quantity.unit === "°P" ? sgFromPlato(quantity.number()) : quantity.base("gravity");
    return within(sg, this.fields[name].label, say("{quantity} is beyond the sugar tables", { quantity }), say("write 0.98 to 1.15 SG, or −5 to 34 °P"));
  }

  lacking(name) {
    return new InputError(this.fields[name].label, say("nothing was written"), say("write it, for nothing can be reckoned without it"));
  }

  need(name) {
    const number = this.number(name);
    if (number === undefined) throw this.lacking(name);
    return number;
  }
}

export const within = (value, field, problem, remedy) => {
  if (!Number.isFinite(value)) throw new InputError(field, problem, remedy);
  return value;
};

export const SHOWN = {
  sg: ["SG", 4], plato: ["°P", 2], points: ["points", 1], litres: ["L", 1], litres2: ["L", 2], grams: ["g", 0],
  grams1: ["g", 1], celsius: ["°C", 1], volumes: ["vol", 2], bar: ["bar", 1], strength: [say("% vol"), 1], perCent: ["%", 0],
  gPerL: ["g/L", 1], number: ["", 1], count: ["", 0],
};

export const working = (relation, inputs, sources, steps = [], cautions = []) => ({ relation, inputs, sources, steps, cautions });

/* A figure whose interval is value ± spread unless its ends are given. `text` is all of it, `short` the value alone. */
export const figure = (key, label, value, [unit, digits], of, { spread = 0, low = value - spread, high = value + spread, interval = say("nine times in ten"), words = "" } = {}) => {
  const [ends, symbol, fine] = unit === "SG" && preferred("gravity") === "°P" ? [[value, low, high].map(platoFromSg), "°P", Math.max(0, digits - 2)] : inUnits([value, low, high], unit, digits);
  const [best, from, to] = ends.map((end) => show(end, fine)), short = words || `${best} ${symbol}`.trimEnd();
  const range = from === to || words ? "" : `${from} ${say("to")} ${to}`;
  return { key, label, value, low, high, unit, digits, short, range, text: range ? `${short} (${range})` : short, interval, words, working: of };
};

/* The same of three values: lowest, best, highest. */
export const spanned = (key, label, [low, best, high], shown, of, more = {}) => figure(key, label, best, shown, of, { low, high, ...more });

export const finding = (urgency, key, text, check = "") => ({ urgency, key, text, check });


