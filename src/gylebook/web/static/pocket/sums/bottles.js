/* Sums on the bottle: priming, pressure and how many; and bottles as they are written, one kind to a line. */
import { InputError, InputErrors, fixed, general, readQuantity, show, start, unitsOf } from "./amounts.js";
import { SHOWN, URGENCY, figure, finding, spanned, within, working } from "./asked.js";
import { BOTTLE_WORDS, Bottle, KINDS, ambient, halfLitre, pressure, residual, sugared, together, weakest, worstOf } from "./gas.js";
import { GAS, MATERIALS, REST, SUGARS, WORDS } from "./tables.js";

const LIKE = "24 x 500 mL brown returnable";
const SIZES = unitsOf("volume").flatMap((unit) => [unit.symbol, ...unit.spellings]).sort((a, b) => b.length - a.length).map((word) => word.replaceAll(" ", "\\s+"));
const SIZE = new RegExp(`^(\\d[\\d.,]*|[.,]\\d+)\\s*(${SIZES.join("|")})(?![\\p{L}\\p{N}_])\\.?\\s*(.*)$`, "iu");

const sized = (text, field) => {
  const match = SIZE.exec(text.trim());
  if (!match) {
    const front = /^[\d.,]+\s*[\p{L}_]+/u.exec(text.trim());
    if (front) readQuantity(front[0], "volume", field);
    throw new InputError(field, `“${start(text.trim(), 60)}” does not begin with an amount and its unit`, `write such as ${LIKE}`);
  }
  const size = readQuantity(`${match[1]} ${match[2]}`, "volume", field);
  if (size.number() <= 0) throw new InputError(field, `${size} is no amount`, "write more than nothing, or leave the line out");
  return [size, match[3].trim()];
};

const lot = (line, field) => {
  /* At commas, but not between two digits, where one is a decimal mark. */
  const split = line.replace(/,/g, (comma, at) => /\d/.test(line[at - 1] ?? "") && /\d/.test(line[at + 1] ?? "") ? comma : "\0").split("\0");
  const [first = "", ...more] = split.map((part) => part.trim()).filter(Boolean);
  const match = /^(\d+)\s*(?:x|×|\*|of)\s*(.+)$/i.exec(first);
  if (!match) throw new InputError(field, `“${start(first, 60)}” does not begin with how many`, `write such as ${LIKE}`);
  const count = match[1].length < 7 ? Number(match[1]) : Infinity;
  if (count < 1 || count > REST.bottles) throw new InputError(field, `${match[1].slice(0, 12)} bottles cannot be`, `write a number from 1 to ${REST.bottles}`);
  const [size, rest] = sized(match[2], field), litres = size.base("volume");
  if (!(litres >= 0.05 && litres <= 60)) throw new InputError(field, `a bottle of ${size} cannot be`, "write its size such as 500 mL");
  const words = rest.split(/\s+/).filter(Boolean).join(" ");
  if (!words) throw new InputError(field, "the kind of bottle is missing", "write the kind of bottle too");
  if ([...words].length > 80) throw new InputError(field, "the kind of bottle is too long", "use fewer words");
  const key = BOTTLE_WORDS.get(words.toLowerCase());
  if (!key) throw new InputError(field, `“${start(words, 40)}” is no kind of bottle that is known here`, `use one of: ${[...BOTTLE_WORDS.keys()].join(", ")}`);
  const unknown = more.map((part) => part.toLowerCase()).filter((part) => !/^(filled )?(first|last)$/.test(part)).sort();
  if (unknown.length) throw new InputError(field, `“${start(unknown[0], 40)}” was not understood`, "after a comma write first or last");
  return new Bottle(key, size, count);
};

const bottlesOf = (asked) => {
  const errors = [], found = [], label = "Bottles";
  asked.word("bottles").split(/\n|\r/).forEach((line, at) => {
    if (!line.trim()) return;
    if (at >= REST.lines) throw new InputError(label, `there are more than ${REST.lines} lines`, "write fewer");
    try {
      found.push(lot(line.trim(), `${label}, line ${at + 1}`));
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      errors.push(error);
    }
  });
  if (errors.length) throw new InputErrors(errors);
  return found;
};

/* --- priming --- */

const TOLD = ["draper_hibberd_1996", "co2_stoichiometry"];
const sugarWords = (key) => MATERIALS[key][0];

/* What so much sugar gives: the average bottle, the worst one, and grams of table sugar a litre. */
const outcome = (base, grams, sugar, uneven = "whole batch") => {
  const gas = sugared(grams, sugar, base.litres), share = GAS.uneven[uneven];
  return {
    grams, gas, uneven: share,
    total: together(base.residual, gas, base.coming),
    worst: worstOf(base.residual, gas, base.coming, share),
    perLitre: grams * (SUGARS[sugar][0][1] / SUGARS.sucrose[0][1]) / Math.max(base.litres[1], 0.05),
  };
};

const doseFigure = (base, target, sugar, label) => {
  const litres = base.litres[1], lacking = Math.max(target - base.residual[1] - base.coming[1], 0), missing = litres * lacking;
  const made = SUGARS[sugar][0], words = sugarWords(sugar);
  const rule = missing * GAS.customary * (SUGARS.sucrose[0][1] / made[1]);
  const least = Math.min(missing * GAS.perVolume / made[2], rule), most = Math.max(missing * GAS.perVolume / made[0], rule);
  const parts = `${show(target, 2)} − ${show(base.residual[1], 2)} − ${show(base.coming[1], 2)}`;
  const of = working("litres × (wanted − dissolved − still to ferment) × 4.0 g of table sugar for each volume; others in proportion", base.givens,
    [...TOLD, "mass_balance"],
    [`${parts} = ${show(lacking, 2)} vol lacking`,
      `${show(litres, 1)} L × ${show(lacking, 2)} vol is ${show(rule, 0)} g of ${words}; by chemistry alone ${show(least, 0)} g`]);
  return spanned("sugar", label ?? `${words[0].toUpperCase()}${words.slice(1)}, all of it`, [least, rule, most], SHOWN.grams, of, { interval: "from chemistry alone to the customary rule" });
};

const eachBottle = (base, grams, sugar, sizes) => {
  const of = working("all the sugar × the bottle's share of the litres", base.givens, ["mass_balance"]), [, spoon, note] = SUGARS[sugar];
  const dose = (size) => grams * size / Math.max(base.litres[1], size), round = (size) => fixed(size * 1000, 0);
  const found = sizes.map((size) => figure(`each_${round(size)}`, `In each ${round(size)} mL bottle`, dose(size), SHOWN.grams1, of, { spread: 0.1 }));
  if (spoon)
    found.push(spanned("spoons", `Level teaspoons in ${round(sizes[0])} mL`, spoon.map((each) => dose(sizes[0]) / each).reverse(), ["teaspoons", 2],
      working("grams ÷ what a level 5 mL spoon holds; a scale is better by far", base.givens, ["common_practice"], [note]), { interval: "lightest and heaviest spoon" }));
  return found;
};

/* Gas, and the worst bottle's pressure, when there is half a litre less or more than was reckoned with. */
const slips = (base, given, store) => [["short", "less", -GAS.slip], ["long", "more", GAS.slip]].flatMap(([key, word, change]) => {
  const litres = base.litres[1] + change;
  if (litres < GAS.slip || given.gas[1] <= 0) return [];
  const gas = given.gas.map((end) => base.litres[1] / litres * end), total = together(base.residual, gas, base.coming);
  const worst = worstOf(base.residual, gas, base.coming, given.uneven), name = `If there is ${general(GAS.slip)} L ${word}`;
  const of = working("the same sugar in another volume: its gas × litres reckoned with ÷ litres there are", base.givens, ["mass_balance", "error_propagation"],
    [`${show(given.gas[1], 2)} vol × ${show(base.litres[1], 1)} ÷ ${show(litres, 1)}: ${show(gas[1], 2)}`,
      `with what is dissolved and still to come ${show(total[1], 2)} vol`,
      `the worst bottle has up to ${show(worst, 2)} vol`]);
  return [
    spanned(`if_${key}`, name, total, SHOWN.volumes, of),
    spanned(`if_${key}_worst`, `${name}: the worst bottle at ${show(store, 0)} °C`, pressure(worst, store), SHOWN.bar, of, { interval: "by how beer holds gas" }),
  ];
});

const ledOn = (t) => t > 25 ? ["Above 25 °C the brewing chart is led on beyond its end."] : [];

const outcomeFigures = (base, given, bottles, store) => {
  const weak = weakest(bottles), warm = pressure(given.total[1], store), worst = pressure(given.worst, store)[1], at = `${show(store, 0)} °C`;
  const of = working("dissolved + from sugar + still to ferment", base.givens, [...TOLD, "error_propagation"], [`the worst bottle has up to ${show(given.worst, 2)} vol`]);
  const press = working("gas shared between beer and headspace in a closed bottle", base.givens, ["co2_mass_balance", "delange_2011"],
    [`at ${at}; the worst bottle ${show(worst, 1)} bar`], ledOn(store));
  const limit = working(`the gas at which ${weak.words} reaches what it is fit for, at ${at}`, base.givens, ["british_glass_tec7", "co2_mass_balance", "common_practice"],
    [weak.limitWords], ["No standard speaks of bottles refilled at home."]);
  return [
    spanned("co2", "Gas this gives", given.total, SHOWN.volumes, of),
    figure("per_litre", "As table sugar", given.perLitre, SHOWN.gPerL, of),
    spanned("pressure", `Pressure at ${at}`, [warm[0], warm[1], worst], SHOWN.bar, press),
    spanned("ceiling", `Most for ${bottles.length ? "these bottles" : "glass of unknown make"} at ${at}`, weak.most(store), SHOWN.volumes, limit, { interval: "cautious and boldest habit" }),
    ...slips(base, given, store),
  ];
};

/* What this dose breaks; empty where it keeps within the rails. */
const rails = (given, bottles, store) => {
  const found = [], total = given.total[1], at = `${show(store, 0)} °C`, worst = pressure(given.worst, store)[1];
  if ((!bottles.length || bottles.some((each) => each.kind.key === "unknown_glass")) && total > GAS.mostUnknown)
    found.push(finding(URGENCY.danger, "unknown_glass",
      `${show(total, 2)} volumes: glass of unknown make is fit for no more than ${show(weakest([]).most(store)[1], 1)} at ${at}, and above ${show(GAS.mostUnknown, 1)} the book refuses it altogether.`,
      "Which bottles are they really?"));
  if (given.perLitre > GAS.mostSugar)
    found.push(finding(URGENCY.danger, "sugar_tenfold",
      `${show(given.perLitre, 1)} g/L of sugar is past the 10 g/L at which bottles burst: it gives ${show(total, 1)} volumes. “5 to 10 g a bottle” is a slip that goes round; half a litre takes about 3 g.`,
      "Are the grams, and the litres, right?"));
  if (worst > GAS.mostBar)
    found.push(finding(URGENCY.danger, "pressure",
      `The worst bottle could reach ${show(worst, 1)} bar at ${at}; glass is not recommended above ${GAS.mostBar} bar, a figure written for new glass of carbonated soft drinks.`,
      "Less sugar, or a cooler store?"));
  return found;
};

/* What is worth saying short of the rails. */
const advice = (given, bottles, store) => {
  const found = [], dose = show(given.perLitre, 1), gas = show(given.total[1], 1);
  if (given.perLitre > 0 && given.perLitre < GAS.leastSugar)
    found.push(given.total[1] < GAS.flat
      ? finding(URGENCY.nothing, "sugar_little", `${dose} g/L gives ${gas} volumes: nearly flat.`, "Is it meant so?")
      : finding(URGENCY.nothing, "sugar_little", `${dose} g/L is little sugar: ${gas} volumes come of it only with all the gas that is counted on.`, "Was it never warmer since it finished?"));
  for (const bottle of bottles) {
    const words = bottle.fit(given.total[1], given.worst, store);
    if (words === "never")
      found.push(finding(URGENCY.danger, "never_bottle", `${bottle.words}: never for beer that still ferments. ${bottle.kind.note}`, "Leave them out."));
    else if (words !== "fit")
      found.push(finding(URGENCY.act, "not_fit", `${bottle.words}: ${words}. In a store of ${show(store, 0)} °C this is too much for them.`, "Less sugar, other bottles or a cooler store?"));
  }
  return found;
};

/* What the sugar that is spoken of gives, and how the sentence begins; "" where it is only the dose. */
const given = (asked, base, dose, sugar) => {
  const mass = asked.number("mass"), { each, bought_for: bought } = asked.values, [, litres] = base.litres;
  if (mass !== undefined && each) return [outcome(base, mass * each, sugar, "each bottle"), `${show(mass, 1)} g in each of ${each} bottles gives`];
  if (mass !== undefined) return [outcome(base, mass, sugar), `${show(mass, 0)} g gives`];
  if (!bought) return [outcome(base, dose, sugar), ""];
  const for_ = asked.number("bought_for"), grams = dose * for_ / litres;
  return [outcome(base, grams, sugar), `Take × ${show(litres / for_, 2)} of the sugar that was weighed for ${bought}. All of it, ${show(grams, 0)} g, gives`];
};

const unnamed = (given, store) => {
  const most = weakest([]).most(store)[2];
  if (given.total[1] <= most) return [];
  return [finding(URGENCY.act, "unknown_bottles", `${show(given.total[1], 1)} volumes: glass of unknown make is fit for no more than ${show(most, 1)} at ${show(store, 0)} °C.`, "Which bottles will it go into?")];
};

export const priming = (asked) => {
  const [litres, target, store, warmest, points] = ["volume", "co2", "store", "warmest", "points"].map((name) => asked.need(name));
  const sugar = asked.word("sugar"), bottles = bottlesOf(asked);
  const base = {
    litres: [litres * 0.98, litres, litres * 1.02], residual: residual(warmest), coming: GAS.perGravity.map((each) => points * each), givens: asked.givens,
  };
  const dose = doseFigure(base, target, sugar), [gives, words] = given(asked, base, dose.value, sugar);
  const broken = rails(gives, bottles, store), open = bottles.length || broken.length ? [] : unnamed(gives, store);
  const sizes = bottles.length ? [...new Set(bottles.map((each) => each.litres))].sort((a, b) => b - a) : [0.5, 0.33, 0.568];
  return {
    headline: words ? `${words} ${show(gives.total[1], 1)} volumes; ${show(target, 1)} would take ${show(dose.value, 0)} g.`
      : dose.value <= 0 ? `No sugar: it has, or will make, ${show(target, 1)} volumes by itself.`
        : `Weigh ${show(dose.value, 0)} g of ${sugarWords(sugar)} for ${show(litres, 1)} L.`,
    why: `It holds ${show(base.residual[1], 2)} volumes already; ${points ? `${show(base.coming[1], 1)} will come by itself.` : "nothing more is counted on to come."}`,
    urgency: broken.length ? URGENCY.danger : open.length ? URGENCY.act : URGENCY.nothing,
    figures: [dose, ...outcomeFigures(base, gives, bottles, store), ...eachBottle(base, gives.grams, sugar, sizes)],
    findings: [...broken, ...open, ...advice(gives, bottles, store)],
    options: Object.entries(SUGARS).map(([key, [, , note]]) => ({ name: sugarWords(key), words: note, chosen: key === sugar, figures: [doseFigure(base, target, key, "All of it")] })),
    missing: bottles.length ? "" : "Which bottles will it go into?",
    cautions: [...WORDS.priming, ...WORDS.glass],
  };
};

/* --- pressure --- */

const bursting = (gas, temp) => {
  const ordinary = Object.keys(KINDS).filter((key) => !GAS.strong.includes(key)).map(halfLitre).filter((each) => !each.never);
  return ordinary.every((each) => each.mayBurst(gas, temp))
    ? `At ${show(temp, 0)} °C no ordinary bottle is fit for ${show(gas, 1)} volumes: filled ones may burst. Once cold, keep them cold and drink them soon, or pour them away cold; eye protection and thick gloves.` : "";
};

export const pressureSum = (asked) => {
  const gas = asked.need("co2"), temp = asked.need("temp");
  if (!(gas >= 0.1 && gas <= 12)) throw new InputError("Gas in the bottle", `${show(gas, 1)} volumes cannot be reckoned with`, "write 0.1 to 12 vol");
  const outside = within(ambient(asked.need("altitude")), "Metres above the sea", "no air is known there", "write −400 to 5000");
  const [here, cold, hot] = [temp, 4, 35].map((t) => pressure(gas, t, outside)), danger = bursting(gas, temp);
  const of = working("gas shared between beer and a headspace of 4 %, above the air outside", asked.givens, ["co2_mass_balance", "delange_2011", "standard_atmosphere"], [], ledOn(temp));
  return {
    headline: `${show(gas, 1)} volumes at ${show(temp, 0)} °C push ${show(here[1], 1)} bar outward.`,
    why: `The same bottle makes ${show(cold[1], 1)} bar at 4 °C and ${show(hot[1], 1)} at 35 °C: warmth is half of it.`,
    urgency: danger ? URGENCY.danger : URGENCY.nothing,
    figures: [
      spanned("pressure", `At ${show(temp, 0)} °C`, here, SHOWN.bar, of),
      spanned("cold", "At 4 °C", cold, SHOWN.bar, of),
      spanned("hot", "At 35 °C", hot, SHOWN.bar, of),
    ],
    findings: danger ? [finding(URGENCY.danger, "may_burst", danger, WORDS.cool)] : [],
    options: Object.keys(KINDS).map((key) => {
      const bottle = halfLitre(key), warmest = bottle.warmest(gas, gas);
      return {
        name: bottle.name, chosen: false, words: `${bottle.fit(gas, gas, temp)}; ${bottle.limitWords}. ${bottle.kind.note}`,
        figures: warmest >= 1 ? [figure("warmest", "Keep below", Math.floor(Math.min(warmest, 50)), ["°C", 0], of)] : [],
      };
    }),
    cautions: WORDS.glass,
    rule_of_thumb: WORDS.published,
  };
};

/* --- how many --- */

const filled = (litres, sizes, counts) => {
  let left = litres;
  const full = sizes.map((size, at) => {
    const whole = Math.min(counts[at], Math.trunc(left / size + 1e-9));
    left = Math.max(left - whole * size, 0);
    return whole;
  });
  return [full, left];
};

export const bottlesSum = (asked) => {
  const litres = asked.need("volume"), bottles = bottlesOf(asked), figures = [];
  const of = working("litres ÷ the bottle's size, whole bottles", asked.givens, ["by_definition"]);
  let headline, options = [];
  if (!bottles.length) {
    const found = {};
    for (const size of [330, 500, 568, 750]) {
      [[found[size]]] = filled(litres, [size / 1000], [100000]);
      figures.push(figure(`of_${size}`, `Of ${size} mL`, found[size], SHOWN.count, of));
    }
    headline = `${show(litres, 1)} L: ${found[500]} × 500 mL, or ${found[330]} × 330 mL.`;
  } else {
    const [full, left] = filled(litres, bottles.map((each) => each.litres), bottles.map((each) => each.never ? 0 : each.count));
    const none = bottles.every((each) => each.never) ? "Not one of these may hold beer that still ferments" : "Too little beer to fill one of these";
    headline = bottles.flatMap((each, at) => full[at] ? [`${full[at]} × ${each.words}`] : []).join(" + ") || none;
    headline += `; ${show(left, 2)} L left over.`;
    figures.push(figure("left", "Left over", left, SHOWN.litres2, of));
    options = bottles.map((each, at) => ({
      name: each.words, words: (each.never ? "never: " : "") + each.kind.note, chosen: full[at] > 0, figures: [figure("full", "Filled", full[at], SHOWN.count, of)],
    }));
  }
  const pints = litres / unitsOf("volume").find((unit) => unit.symbol === "imp pt").factor;
  return {
    headline,
    why: "All of it is counted; the step of bottling takes off 0.2 L that stay under the tap, so it may say one less.",
    figures: [...figures, figure("pints", "Imperial pints", pints, ["imp pt", 0], of, { words: `${show(pints, 0)} imp pt` })],
    options,
    missing: bottles.length ? "" : "Which bottles are at hand?",
    cautions: WORDS.glass.slice(2),
  };
};
