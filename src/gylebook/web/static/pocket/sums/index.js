/* The sums that matter in a garage, reckoned on the phone: the same answers as the book gives, without a network. */
import { InputError, InputErrors, unitsOf } from "./amounts.js";
import { Asked, URGENCY } from "./asked.js";
import { bottlesSum, pressureSum, priming } from "./bottles.js";
import { units } from "./convert.js";
import { boilingWater, dilution, gravity, hopDose, reading, strength } from "./gravity.js";
import { OFFERED } from "./tables.js";

export { prefer } from "./amounts.js";
export { SOURCES } from "./tables.js";

const RECKON = {
  reading, strength, priming, pressure: pressureSum, boiling_water: boilingWater, dilution, bottles: bottlesSum, hop_dose: hopDose, gravity, units,
};

const field = ({ dimensions = [], choices = [], ...told }) => {
  const symbols = dimensions.flatMap((each) => unitsOf(each).map((unit) => unit.symbol)).filter(Boolean);
  return {
    required: false, default: "", hint: "", reason: "", possible: null, usual: null, ...told,
    dimensions, units: symbols, unit: dimensions.length ? unitsOf(dimensions[0])[0].symbol : "", choices: choices.map(([value, words]) => ({ value, words })),
  };
};

/* An error belongs to the field that it names, or to a line of it; to none where it names none. */
const told = (error, fields) => {
  const about = (error.of ?? error.field).toLowerCase();
  const of = fields.find(({ label, name }) => [label.toLowerCase(), name.replaceAll("_", " ")].includes(about));
  return { field: of?.name ?? "", message: error.message, suggestion: error.suggestion };
};

const reckoned = (word, fields, values) => {
  try {
    const asked = new Asked(fields, values);
    return {
      urgency: URGENCY.nothing, findings: [], options: [], missing: "", cautions: [], rule_of_thumb: "", assumed: asked.assumed, ...RECKON[word](asked),
    };
  } catch (error) {
    if (error instanceof InputErrors) return { errors: error.errors.map((each) => told(each, fields)) };
    if (error instanceof InputError) return { errors: [told(error, fields)] };
    throw error;
  }
};

/* Each with `reckon(values)`: texts by the field's name in, an answer out, or { errors: [{ field, message, suggestion }] }. */
export const SUMS = OFFERED.map(({ fields, ...of }) => {
  const asks = fields.map(field);
  return { ...of, fields: asks, reckon: (values) => reckoned(of.word, asks, values) };
});
