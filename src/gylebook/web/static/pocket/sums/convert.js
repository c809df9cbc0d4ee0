/* The sum on units: any amount in any unit of its kind, and the warning that gallons have a country. */
import { say } from "../../modules/words.js";
import { DIMENSIONS, InputError, Quantity, amount, readQuantity, show, start, unitsOf } from "./amounts.js";
import { URGENCY, figure, finding, within, working } from "./asked.js";
import { platoFromSg, sgFromPlato } from "./mixtures.js";

const UNITLESS = ["pieces", "count", "number", "money"], COUNTRY = { US: "imp", imp: "US" };
const ACROSS = { gravity: "extract", extract: "gravity" };
const tried = (act) => {
  try {
    return act();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
};

const unitIn = (symbol, dimension) => {
  const found = tried(() => readQuantity(`1 ${symbol}`, dimension, say("Into")));
  return found instanceof Quantity ? unitsOf(dimension).find((each) => each.symbol === found.unit) : undefined;
};
const across = (dimension, symbol) => ACROSS[dimension] && unitIn(symbol, ACROSS[dimension]);

/* The amount and its dimension; where a symbol belongs to two, the one that the target belongs to. */
const readAmount = (text, wanted) => {
  let country;
  const found = [];
  for (const dimension of DIMENSIONS.filter((each) => !UNITLESS.includes(each))) {
    const quantity = tried(() => readQuantity(text, dimension, say("Amount"), ""));
    if (quantity instanceof Quantity) {
      if (quantity.unit) found.push([quantity, dimension]);
    } else if (quantity.known) country ??= quantity;
  }
  const fitting = found.find(([, dimension]) => !wanted || unitIn(wanted, dimension) || across(dimension, wanted));
  if (fitting) return fitting;
  if (found.length)
    throw new InputError(say("Into"), say("“{wanted}” does not go with {amount}", { wanted: start(wanted, 20), amount: found[0][0] }), say("use one of {known}", { known: unitsOf(found[0][1]).map((each) => each.symbol).join(", ") }));
  throw country ?? new InputError(say("Amount"), say("“{text}” was not understood", { text: start(text, 40) }), say("write a number and its unit, such as 5 US gal"));
};

const targets = (wanted, dimension) => {
  const every = (of) => (of ? unitsOf(of) : []).map((unit) => [unit, of]);
  if (!wanted) return [...every(dimension), ...every(ACROSS[dimension])];
  const unit = unitIn(wanted, dimension);
  return [unit ? [unit, dimension] : [across(dimension, wanted), ACROSS[dimension]]];
};

/* Four figures that mean something; gravity always to four decimals. */
const digitsOf = (value, dimension) => {
  if (dimension === "gravity") return 4;
  return value === 0 || !Number.isFinite(value) ? 1 : Math.max(0, Math.min(6, 3 - Math.floor(Math.log10(Math.abs(value)))));
};

const inUnit = (quantity, dimension, [unit, into], asked) => {
  let sources = dimension === "co2" ? ["co2_gas_density"] : ["unit_definitions"], value;
  if (into !== dimension) {
    const change = into === "extract" ? platoFromSg : sgFromPlato;
    value = within(change(quantity.number()), say("Amount"), say("{quantity} is beyond the sugar tables", { quantity }), say("write 0.98 to 1.15 SG"));
    sources = ["nbs_c440", "sg_plato_fit"];
  } else value = quantity.to(unit.symbol, dimension);
  const digits = digitsOf(value, into);
  return figure(unit.symbol, unit.label, value, [unit.symbol, digits], working(say("{label} from {unit}", { label: unit.label, unit: quantity.unit }), asked.givens, sources), { words: `${show(value, digits)} ${unit.symbol}` });
};

const countries = (quantity, dimension) => {
  const [country] = quantity.unit.split(" ");
  if (dimension !== "volume" || !COUNTRY[country]) return [];
  const other = new Quantity(quantity.text, quantity.unit.replace(country, COUNTRY[country]));
  if (other.unit.includes("fl oz") || !unitsOf("volume").some((each) => each.symbol === other.unit)) return [];
  return [finding(URGENCY.nothing, "gallon_country", say("Were it {amount}, it would be {litres}: the two differ by a fifth.", { amount: other, litres: amount(other.base("volume"), 2, "L") }), say("Which country is the recipe from?"))];
};

export const units = (asked) => {
  const wanted = asked.word("to").trim(), [quantity, dimension] = readAmount(asked.word("amount"), wanted);
  const figures = targets(wanted, dimension).map((target) => inUnit(quantity, dimension, target, asked));
  return {
    headline: say("{quantity} is {shown}.", { quantity, shown: figures.slice(0, 3).map((each) => each.short).join(", ") }),
    why: say("Factors are exact by definition, except volumes of CO2 and the sugar tables."),
    figures,
    findings: countries(quantity, dimension),
  };
};
