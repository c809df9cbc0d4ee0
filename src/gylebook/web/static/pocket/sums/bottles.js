/* Sums on the bottle: priming, pressure and how many; and bottles as they are written, one kind to a line. */
import { capital, say } from "../../modules/words.js";
import { InputError, InputErrors, amount, fixed, readQuantity, show, start, unitsOf } from "./amounts.js";
import { SHOWN, URGENCY, figure, finding, spanned, within, working } from "./asked.js";
import { BOTTLE_WORDS, Bottle, KINDS, ambient, bareBar, halfLitre, pressure, residual, sugared, together, weakest, worstOf } from "./gas.js";
import { GAS, MATERIALS, REST, SUGARS, WORDS } from "./tables.js";

const LIKE = say("24 x 500 mL brown returnable");
const SIZES = unitsOf("volume").flatMap((unit) => [unit.symbol, ...unit.spellings]).sort((a, b) => b.length - a.length).map((word) => word.replaceAll(" ", "\\s+"));
const SIZE = new RegExp(`^(\\d[\\d.,]*|[.,]\\d+)\\s*(${SIZES.join("|")})(?![\\p{L}\\p{N}_])\\.?\\s*(.*)$`, "iu");

const sized = (text, field) => {
  const match = SIZE.exec(text.trim());
  if (!match) {
    const front = /^[\d.,]+\s*[\p{L}_]+/u.exec(text.trim());
    if (front) readQuantity(front[0], "volume", field);
    throw new InputError(field, say("“{text}” does not begin with an amount and its unit", { text: start(text.trim(), 60) }), say("write such as {example}", { example: LIKE }));
  }
  const size = readQuantity(`${match[1]} ${match[2]}`, "volume", field);
  if (size.number() <= 0) throw new InputError(field, say("{quantity} is no amount", { quantity: size }), say("write more than nothing, or leave the line out"));
  return [size, match[3].trim()];
};

const lot = (line, field) => {
  /* At commas, but not between two digits, where one is a decimal mark. */
  const split = line.replace(/,/g, (comma, at) => /\d/.test(line[at - 1] ?? "") && /\d/.test(line[at + 1] ?? "") ? comma : "\0").split("\0");
  const [first = "", ...more] = split.map((part) => part.trim()).filter(Boolean);
  const match = /^(\d+)\s*(?:x|×|\*|of)\s*(.+)$/i.exec(first);
  if (!match) throw new InputError(field, say("“{first}” does not begin with how many", { first: start(first, 60) }), say("write such as 24 x 500 mL brown returnable"));
  const count = match[1].length < 7 ? Number(match[1]) : Infinity;
  if (count < 1 || count > REST.bottles) throw new InputError(field, say("{count} bottles cannot be", { count: match[1].slice(0, 12) }), say("write a number from 1 to {most}", { most: REST.bottles }));
  const [size, rest] = sized(match[2], field), litres = size.base("volume");
  if (!(litres >= 0.05 && litres <= 60)) throw new InputError(field, say("a bottle of {size} cannot be", { size }), say("write its size such as 500 mL"));
  const words = rest.split(/\s+/).filter(Boolean).join(" ");
  const what = say("the kind of bottle");
  if (!words) throw new InputError(field, say("{what} is missing", { what }), say("write {what} too", { what }));
  if ([...words].length > 80) throw new InputError(field, say("{what} is too long", { what }), say("use fewer words"));
  const key = BOTTLE_WORDS.get(words.toLowerCase());
  if (!key) throw new InputError(field, say("“{bottle}” is no kind of bottle that is known here", { bottle: start(words, 40) }), say("use one of: {known}", { known: [...BOTTLE_WORDS.keys()].join(", ") }));
  const unknown = more.map((part) => part.toLowerCase()).filter((part) => !/^(filled )?(first|last)$/.test(part)).sort();
  if (unknown.length) throw new InputError(field, say("“{unknown}” was not understood", { unknown: start(unknown[0], 40) }), say("after a comma write first or last"));
  return new Bottle(key, size, count);
};

const bottlesOf = (asked) => {
  const errors = [], found = [], label = say("Bottles");
  asked.word("bottles").split(/\n|\r/).forEach((line, at) => {
    if (!line.trim()) return;
    if (at >= REST.lines) throw new InputError(label, say("there are more than {most} lines", { most: REST.lines }), say("write fewer"));
    try {
      found.push(lot(line.trim(), say("{label}, line {number}", { label, number: at + 1 })));
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      errors.push(Object.assign(error, { of: label }));
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
  const parts = `${show(target, 2)} − ${show(base.residual[1], 2)} − ${show(base.coming[1], 2)}`, lack = show(lacking, 2);
  const by = say("{litres} × {lacking} vol is {grams} of {sugar}", { litres: amount(litres, 1, "L"), lacking: lack, grams: amount(rule, 0, "g"), sugar: words });
  const of = working(say("litres × (wanted − dissolved − still to ferment) × 4.0 g of table sugar for each volume; others in proportion"), base.givens,
    [...TOLD, "mass_balance"],
    [say("{parts} = {lacking} vol lacking", { parts, lacking: lack }), say("{rule}; by chemistry alone {grams}", { rule: by, grams: amount(least, 0, "g") })]);
  return spanned("sugar", label ?? say("{sugar}, all of it", { sugar: capital(words) }), [least, rule, most], SHOWN.grams, of, { interval: say("from chemistry alone to the customary rule") });
};

const eachBottle = (base, grams, sugar, sizes) => {
  const of = working(say("all the sugar × the bottle's share of the litres"), base.givens, ["mass_balance"]), [, spoon, note] = SUGARS[sugar];
  const dose = (size) => grams * size / Math.max(base.litres[1], size), round = (size) => fixed(size * 1000, 0);
  const found = sizes.map((size) => figure(`each_${round(size)}`, say("In each {size} bottle", { size: amount(size * 1000, 0, "mL") }), dose(size), SHOWN.grams1, of, { spread: 0.1 }));
  if (spoon)
    found.push(spanned("spoons", say("Level teaspoons in {size}", { size: amount(sizes[0] * 1000, 0, "mL") }), spoon.map((each) => dose(sizes[0]) / each).reverse(), [say("teaspoons"), 2],
      working(say("grams ÷ what a level 5 mL spoon holds; a scale is better by far"), base.givens, ["common_practice"], [note]), { interval: say("lightest and heaviest spoon") }));
  return found;
};

const wrong = () => ({ slip: amount(GAS.slip, null, "L") });

/* Gas, and the worst bottle's pressure, when there is half a litre less or more than was reckoned with. */
const slips = (base, given, store) => [["short", say("If there is {slip} less", wrong()), -GAS.slip], ["long", say("If there is {slip} more", wrong()), GAS.slip]].flatMap(([key, name, change]) => {
  const litres = base.litres[1] + change;
  if (litres < GAS.slip || given.gas[1] <= 0) return [];
  const gas = given.gas.map((end) => base.litres[1] / litres * end), total = together(base.residual, gas, base.coming);
  const worst = worstOf(base.residual, gas, base.coming, given.uneven);
  const of = working(say("the same sugar in another volume: its gas × litres reckoned with ÷ litres there are"), base.givens, ["mass_balance", "error_propagation"],
    [say("{gas} vol × {reckoned} ÷ {there}: {result}", { gas: show(given.gas[1], 2), reckoned: show(base.litres[1], 1), there: show(litres, 1), result: show(gas[1], 2) }),
      say("with what is dissolved and still to come {volumes} vol", { volumes: show(total[1], 2) }),
      say("the worst bottle has up to {worst} vol", { worst: show(worst, 2) })]);
  return [
    spanned(`if_${key}`, name, total, SHOWN.volumes, of),
    spanned(`if_${key}_worst`, say("{case}: the worst bottle at {store}", { case: name, store: amount(store, 0, "°C") }), pressure(worst, store), SHOWN.bar, of, { interval: say("by how beer holds gas") }),
  ];
});

const ledOn = (t) => t > 25 ? [say("Above 25 °C the brewing chart is led on beyond its end.")] : [];

const outcomeFigures = (base, given, bottles, store) => {
  const weak = weakest(bottles), warm = pressure(given.total[1], store), worst = pressure(given.worst, store)[1], at = { store: amount(store, 0, "°C") };
  const of = working(say("dissolved + from sugar + still to ferment"), base.givens, [...TOLD, "error_propagation"], [say("the worst bottle has up to {worst} vol", { worst: show(given.worst, 2) })]);
  const press = working(say("gas shared between beer and headspace in a closed bottle"), base.givens, ["co2_mass_balance", "delange_2011"],
    [say("at {store}; the worst bottle {worst}", { ...at, worst: amount(worst, 1, "bar") })], ledOn(store));
  const limit = working(say("the gas at which {weak} reaches what it is fit for, at {store}", { weak: weak.words, ...at }), base.givens, ["british_glass_tec7", "co2_mass_balance", "common_practice"],
    [weak.limitWords], [say("No standard speaks of bottles refilled at home.")]);
  return [
    spanned("co2", say("Gas this gives"), given.total, SHOWN.volumes, of),
    figure("per_litre", say("As table sugar"), given.perLitre, SHOWN.gPerL, of),
    spanned("pressure", say("Pressure at {store}", at), [warm[0], warm[1], worst], SHOWN.bar, press),
    spanned("ceiling", bottles.length ? say("Most for these bottles at {store}", at) : say("Most for glass of unknown make at {store}", at), weak.most(store), SHOWN.volumes, limit, { interval: say("cautious and boldest habit") }),
    ...slips(base, given, store),
  ];
};

/* What this dose breaks; empty where it keeps within the rails. */
const rails = (given, bottles, store) => {
  const found = [], total = given.total[1], at = amount(store, 0, "°C"), worst = pressure(given.worst, store)[1];
  if ((!bottles.length || bottles.some((each) => each.kind.key === "unknown_glass")) && total > GAS.mostUnknown)
    found.push(finding(URGENCY.danger, "unknown_glass",
      say("{volumes} volumes: glass of unknown make is fit for no more than {fit} at {store}, and above {limit} the book refuses it altogether.",
        { volumes: show(total, 2), fit: show(weakest([]).most(store)[1], 1), store: at, limit: show(GAS.mostUnknown, 1) }),
      say("Which bottles are they really?")));
  if (given.perLitre > GAS.mostSugar)
    found.push(finding(URGENCY.danger, "sugar_tenfold",
      say("{dose} g/L of sugar is past the 10 g/L at which bottles burst: it gives {volumes} volumes. “5 to 10 g a bottle” is a slip that goes round; half a litre takes about 3 g.",
        { dose: show(given.perLitre, 1), volumes: show(total, 1) }),
      say("Are the grams, and the litres, right?")));
  if (worst > GAS.mostBar)
    found.push(finding(URGENCY.danger, "pressure",
      say("The worst bottle could reach {worst} at {store}; glass is not recommended above {limit}, a figure written for new glass of carbonated soft drinks.",
        { worst: amount(worst, 1, "bar"), store: at, limit: amount(GAS.mostBar, 1, "bar") }),
      say("Less sugar, or a cooler store?")));
  return found;
};

/* What is worth saying short of the rails. */
const advice = (given, bottles, store) => {
  const found = [], dose = show(given.perLitre, 1), gas = show(given.total[1], 1);
  if (given.perLitre > 0 && given.perLitre < GAS.leastSugar)
    found.push(given.total[1] < GAS.flat
      ? finding(URGENCY.nothing, "sugar_little", say("{dose} g/L gives {gas} volumes: nearly flat.", { dose, gas }), say("Is it meant so?"))
      : finding(URGENCY.nothing, "sugar_little", say("{dose} g/L is little sugar: {gas} volumes come of it only with all the gas that is counted on.", { dose, gas }), say("Was it never warmer since it finished?")));
  for (const bottle of bottles) {
    const words = bottle.fit(given.total[1], given.worst, store);
    if (words === "never")
      found.push(finding(URGENCY.danger, "never_bottle", say("{bottle}: never for beer that still ferments. {note}", { bottle: bottle.words, note: bottle.kind.note }), say("Leave them out.")));
    else if (words !== "fit")
      found.push(finding(URGENCY.act, "not_fit", say("{bottle}: {words}. In a store of {store} this is too much for them.", { bottle: bottle.words, words, store: amount(store, 0, "°C") }), say("Less sugar, other bottles or a cooler store?")));
  }
  return found;
};

/* What the sugar that is spoken of gives, and how the sentence begins; "" where it is only the dose. */
const given = (asked, base, dose, sugar) => {
  const mass = asked.number("mass"), { each, bought_for: bought } = asked.values, [, litres] = base.litres;
  if (mass !== undefined && each) return [outcome(base, mass * each, sugar, "each bottle"), say("{mass} in each of {each} bottles gives", { mass: amount(mass, 1, "g"), each })];
  if (mass !== undefined) return [outcome(base, mass, sugar), say("{mass} gives", { mass: amount(mass, 0, "g") })];
  if (!bought) return [outcome(base, dose, sugar), ""];
  const for_ = asked.number("bought_for"), grams = dose * for_ / litres;
  return [outcome(base, grams, sugar), say("Take × {share} of the sugar that was weighed for {volume}. All of it, {grams}, gives", { share: show(litres / for_, 2), volume: bought, grams: amount(grams, 0, "g") })];
};

const unnamed = (given, store) => {
  const most = weakest([]).most(store)[2];
  if (given.total[1] <= most) return [];
  return [finding(URGENCY.act, "unknown_bottles", say("{gas} volumes: glass of unknown make is fit for no more than {most} at {store}.", { gas: show(given.total[1], 1), most: show(most, 1), store: amount(store, 0, "°C") }), say("Which bottles will it go into?"))];
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
    headline: words ? say("{what_if} {gives} volumes; {target} would take {dose}.", { what_if: words, gives: show(gives.total[1], 1), target: show(target, 1), dose: amount(dose.value, 0, "g") })
      : dose.value <= 0 ? say("No sugar: it has, or will make, {target} volumes by itself.", { target: show(target, 1) })
        : say("Weigh {dose} of {sugar} for {litres}.", { dose: amount(dose.value, 0, "g"), sugar: sugarWords(sugar), litres: amount(litres, 1, "L") }),
    why: points ? say("It holds {held} volumes already; {more} will come by itself.", { held: show(base.residual[1], 2), more: show(base.coming[1], 1) })
      : say("It holds {held} volumes already; nothing more is counted on to come.", { held: show(base.residual[1], 2) }),
    urgency: broken.length ? URGENCY.danger : open.length ? URGENCY.act : URGENCY.nothing,
    figures: [dose, ...outcomeFigures(base, gives, bottles, store), ...eachBottle(base, gives.grams, sugar, sizes)],
    findings: [...broken, ...open, ...advice(gives, bottles, store)],
    options: Object.entries(SUGARS).map(([key, [, , note]]) => ({ name: sugarWords(key), words: note, chosen: key === sugar, figures: [doseFigure(base, target, key, say("All of it"))] })),
    missing: bottles.length ? "" : say("Which bottles will it go into?"),
    cautions: [...WORDS.priming, ...WORDS.glass],
  };
};

/* --- pressure --- */

const fitWords = (word) => ({ fit: say("fit"), never: say("never") })[word] ?? word;

const bursting = (gas, temp) => {
  const ordinary = Object.keys(KINDS).filter((key) => !GAS.strong.includes(key)).map(halfLitre).filter((each) => !each.never);
  return ordinary.every((each) => each.mayBurst(gas, temp))
    ? say("At {temp} no ordinary bottle is fit for {gas} volumes: filled ones may burst. Once cold, keep them cold and drink them soon, or pour them away cold; eye protection and thick gloves.", { temp: amount(temp, 0, "°C"), gas: show(gas, 1) }) : "";
};

export const pressureSum = (asked) => {
  const gas = asked.need("co2"), temp = asked.need("temp");
  if (!(gas >= 0.1 && gas <= 12)) throw new InputError(say("Gas in the bottle"), say("{gas} volumes cannot be reckoned with", { gas: show(gas, 1) }), say("write 0.1 to 12 vol"));
  const outside = within(ambient(asked.need("altitude")), say("Metres above the sea"), say("no air is known there"), say("write −400 to 5000"));
  const [here, cold, hot] = [temp, 4, 35].map((t) => pressure(gas, t, outside)), danger = bursting(gas, temp);
  const of = working(say("gas shared between beer and a headspace of 4 %, above the air outside"), asked.givens, ["co2_mass_balance", "delange_2011", "standard_atmosphere"], [], ledOn(temp));
  return {
    headline: say("{gas} volumes at {temp} push {pressure} outward.", { gas: show(gas, 1), temp: amount(temp, 0, "°C"), pressure: amount(here[1], 1, "bar") }),
    why: say("The same bottle makes {cold} at 4 °C and {hot} at 35 °C: warmth is half of it.", { cold: amount(cold[1], 1, "bar"), hot: bareBar(hot[1]) }),
    urgency: danger ? URGENCY.danger : URGENCY.nothing,
    figures: [
      spanned("pressure", say("At {temp}", { temp: amount(temp, 0, "°C") }), here, SHOWN.bar, of),
      spanned("cold", say("At 4 °C"), cold, SHOWN.bar, of),
      spanned("hot", say("At 35 °C"), hot, SHOWN.bar, of),
    ],
    findings: danger ? [finding(URGENCY.danger, "may_burst", danger, WORDS.cool)] : [],
    options: Object.keys(KINDS).map((key) => {
      const bottle = halfLitre(key), warmest = bottle.warmest(gas, gas);
      return {
        name: bottle.name, chosen: false, words: say("{fit}; {limit}. {note}", { fit: fitWords(bottle.fit(gas, gas, temp)), limit: bottle.limitWords, note: bottle.kind.note }),
        figures: warmest >= 1 ? [figure("warmest", say("Keep below"), Math.floor(Math.min(warmest, 50)), ["°C", 0], of)] : [],
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
  const of = working(say("litres ÷ the bottle's size, whole bottles"), asked.givens, ["by_definition"]);
  let headline, options = [];
  if (!bottles.length) {
    const found = {};
    for (const size of [330, 500, 568, 750]) {
      [[found[size]]] = filled(litres, [size / 1000], [100000]);
      figures.push(figure(`of_${size}`, say("Of {text}", { text: `${size} mL` }), found[size], SHOWN.count, of));
    }
    headline = say("{litres}: {halves} × 500 mL, or {thirds} × 330 mL.", { litres: amount(litres, 1, "L"), halves: found[500], thirds: found[330] });
  } else {
    const [full, left] = filled(litres, bottles.map((each) => each.litres), bottles.map((each) => each.never ? 0 : each.count));
    const none = bottles.every((each) => each.never) ? say("Not one of these may hold beer that still ferments") : say("Too little beer to fill one of these");
    headline = bottles.flatMap((each, at) => full[at] ? [say("{full} × {bottle}", { full: full[at], bottle: each.words })] : []).join(" + ") || none;
    headline += say("; {left} left over.", { left: amount(left, 2, "L") });
    figures.push(figure("left", say("Left over"), left, SHOWN.litres2, of));
    options = bottles.map((each, at) => ({
      name: each.words, words: each.never ? say("never: {note}", each.kind) : each.kind.note, chosen: full[at] > 0, figures: [figure("full", say("Filled"), full[at], SHOWN.count, of)],
    }));
  }
  const pints = litres / unitsOf("volume").find((unit) => unit.symbol === "imp pt").factor;
  return {
    headline,
    why: say("All of it is counted; the step of bottling takes off 0.2 L that stay under the tap, so it may say one less."),
    figures: [...figures, figure("pints", say("Imperial pints"), pints, ["imp pt", 0], of, { words: say("{in_pints} imp pt", { in_pints: show(pints, 0) }) })],
    options,
    missing: bottles.length ? "" : say("Which bottles are at hand?"),
    cautions: WORDS.glass.slice(2),
  };
};
