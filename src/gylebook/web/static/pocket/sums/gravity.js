/* Sums on gravity, strength, heat and hops. */
import { InputError, fixed, general, show, tens } from "./amounts.js";
import { SHOWN, URGENCY, figure, finding, spanned, within, working } from "./asked.js";
import { abvDuty, abvInterval, brewed, clip, diluted, energy, extractToReach, inside, only, platoFromSg, platoOf, trueSg, waterNeeded, waterToReach } from "./mixtures.js";
import { GAS, HOPS, MATERIALS, MIX, REST, WORDS } from "./tables.js";

const needGravity = (asked, name) => {
  const found = asked.gravity(name);
  if (found === undefined) throw asked.lacking(name);
  return found;
};

export const gravity = (asked) => {
  const sg = needGravity(asked, "gravity"), quantity = asked.values.gravity;
  const half = quantity.resolution() / 2, halfSg = quantity.unit === "SG" ? half : half * 0.004;
  const plato = within(platoFromSg(sg), "Gravity", "this is beyond the sugar tables", "write 0.98 to 1.15"), points = (sg - 1) * 1000;
  const of = working("extract by mass of a sugar solution that weighs as much as this one, at 20 °C, weighed in air", asked.givens,
    ["nbs_c440", "sg_plato_fit"], [`half of the last digit written is ±${show(halfSg, 4)} SG`]);
  return {
    headline: `${show(sg, 4)} is ${show(plato, 2)} °P, ${show(points, 1)} gravity points.`,
    why: "One gravity point is a thousandth of specific gravity; four make about one degree Plato.",
    figures: [
      figure("sg", "Specific gravity", sg, SHOWN.sg, of, { spread: halfSg }),
      figure("plato", "Extract", plato, SHOWN.plato, of, { spread: Math.hypot(halfSg * 258, REST.platoFit) }),
      figure("points", "Gravity points", points, SHOWN.number, of, { spread: halfSg * 1000 }),
    ],
  };
};

export const reading = (asked) => {
  const read = needGravity(asked, "reading"), [temp, scale, offset] = ["temp", "scale", "offset"].map((name) => asked.need(name));
  const original = asked.gravity("original");
  const real = (degrees) => within(trueSg(read, degrees, scale, offset, original), "Sample", `no correction holds at ${general(degrees)} °C`,
    `cool it to ${original === undefined ? 60 : 40} °C or less`);
  const sg = real(temp), byTemp = (real(Math.min(temp + 1, 59)) - real(Math.max(temp - 1, 0))) / 2;
  const added = (sg - read) * 1000, z = REST.normal90;
  const of = working(
    "reading × density of water at the scale's temperature × glass's expansion = density of the sample; that density brought to 20 °C",
    asked.givens,
    ["hydrometer_equilibrium", "iso_1768_1975", "bubnik_1995", ...(original === undefined ? [] : ["density_closure", "oiml_r22"])],
    [`${show(read, 4)} ${added >= 0 ? "+" : "−"} ${show(Math.abs(added) / 1000, 4)} = ${show(sg, 4)}`,
      `the eye ±${show(z * REST.readingSd, 4)}, the thermometer ±${show(Math.abs(z * byTemp * 0.7), 4)}`],
    ["A fizzy sample reads 1 to 4 points too high: pour it to and fro and let it stand."],
  );
  const findings = [];
  if (temp > 40)
    findings.push(finding(URGENCY.measure, "too_hot", `At ${general(temp)} °C the sample cools while you read it, half a point for each degree.`, "Cool it below 40 °C and read again."));
  if (read < 0.99)
    findings.push(finding(URGENCY.measure, "wrong_scale", `${show(read, 3)} is lighter than any beer.`, "Is it a spirit hydrometer, or the potential-alcohol scale?"));
  return {
    headline: `It is ${show(sg, 4)} at 20 °C: ${added >= 0 ? "add" : "take off"} ${show(Math.abs(added), 1)} points.`,
    why: `Read ${show(read, 4)} at ${show(temp, 1)} °C with a glass that is true at ${show(scale, 1)} °C.`,
    figures: [
      figure("sg", "True gravity at 20 °C", sg, SHOWN.sg, of, { spread: z * Math.hypot(REST.readingSd, byTemp * REST.thermometerSd) }),
      figure("correction", "Correction", added, SHOWN.points, of, { spread: Math.abs(z * byTemp * 700) }),
    ],
    findings,
    missing: original !== undefined || read > 1.03 ? "" : "Has it fermented, and from which original gravity?",
  };
};

/* --- water and extract --- */

const outside = (value) => within(value, "Gravity", "these do not go together", "check gravity, volume and water");
const mixing = (asked, step) => working("mass of extract before = mass of extract after; densities from the sugar tables", asked.givens,
  ["mass_balance", "bubnik_1995", "nbs_c440"], [step]);

const watered = (asked, sg, volume, water, figures) => {
  const [after, whole] = diluted(sg, volume, water).map(outside), [name, solids] = MATERIALS[asked.word("material")];
  const grams = (share) => extractToReach(after, whole, sg, share), restore = outside(grams(solids[1])), lost = 100 * (1 - volume / whole);
  const of = mixing(asked, `${show(volume, 2)} L + ${show(water, 2)} L of water = ${show(whole, 2)} L`);
  figures.push(
    figure("diluted", "Gravity with the water", after, SHOWN.sg, of, { spread: 0.0005 }),
    figure("volume", "Volume with the water", whole, SHOWN.litres2, of),
    figure("restore", `To restore it: ${name}`, restore, SHOWN.grams, of, { low: grams(solids[2]), high: grams(solids[0]) }),
    figure("weaker", "Weaker and less bitter by", lost, SHOWN.perCent, of),
  );
  return `${show(sg, 4)} becomes ${show(after, 4)} in ${show(whole, 1)} L, ${show(lost, 0)} % weaker and less bitter; ${tens(restore)} g of ${name} would restore it.`;
};

const towards = (asked, sg, volume, target, figures) => {
  if (target <= sg) {
    const water = outside(waterToReach(sg, volume, target));
    figures.push(figure("top_up", "Water to add", water, SHOWN.litres2, mixing(asked, `from ${show(sg, 4)} to ${show(target, 4)}`), { spread: 0.02 * water }));
    return `Add ${show(water, 1)} L of water to come down to ${show(target, 4)}.`;
  }
  const [name, solids] = MATERIALS[asked.word("material")], grams = (share) => extractToReach(sg, volume, target, share);
  if (solids[1] < 0.5) throw new InputError("To raise it with", `${name} is too thin`, "choose an extract or a sugar");
  const best = outside(grams(solids[1]));
  figures.push(figure("add", `${name} to add`, best, SHOWN.grams, mixing(asked, `${name} holds ${show(100 * solids[1], 0)} % of extract`), { low: grams(solids[2]), high: grams(solids[0]) }));
  return `Add ${tens(best)} g of ${name} to come up to ${show(target, 4)}.`;
};

export const dilution = (asked) => {
  const sg = needGravity(asked, "gravity"), volume = asked.need("volume"), water = asked.number("water"), target = asked.gravity("target");
  if (water === undefined && target === undefined)
    throw new InputError("Water added", "neither water nor a wanted gravity was written", "write the litres of water or the gravity");
  const figures = [], words = [];
  if (water !== undefined) words.push(watered(asked, sg, volume, water, figures));
  if (target !== undefined) words.push(towards(asked, sg, volume, target, figures));
  return {
    headline: words.join(" "),
    why: "Mixing keeps the mass of extract; strength falls in step with gravity, bitterness with volume.",
    figures,
    missing: target === undefined ? "Which gravity was wanted?" : "",
    cautions: ["Boil what you add to cool wort for a few minutes, in a little water, and stir it in well."],
  };
};

/* --- strength --- */

const strengthFigure = (og, fg, inputs, primed) => {
  const [low, base, high] = abvInterval(og, fg, REST.ogSd, REST.fgSd);
  within(base, "Final gravity", `no beer goes from ${general(og, 4)} to ${general(fg, 4)}`, "check both gravities");
  const added = primed / MIX.perAlcohol / MIX.ethanol * 100, steps = [`from the gravities ${show(base, 2)} % vol`];
  if (added > 0) steps.push(`${show(primed, 1)} g/L of priming sugar adds ${show(added, 2)} % vol`);
  const of = working("the alcohol for which Balling's balance and the densities of alcohol and extract give the gravity read", inputs,
    ["density_closure", "balling_nielsen_2007", "oiml_r22", "density_closure_priming"], steps,
    ["No sum from two gravities is better than about 0.15 % vol: the yield of alcohol differs."]);
  return figure("abv", "Strength", base + added, SHOWN.strength, of, { low: low + added, high: high + added, interval: "nineteen times in twenty" });
};

export const strength = (asked) => {
  const og = needGravity(asked, "original"), fg = needGravity(asked, "final"), bottle = asked.need("bottle");
  if (og < 1.002) throw new InputError("Original gravity", `${show(og, 4)} holds nothing to ferment`, "write 1.002 or more");
  const abv = strengthFigure(og, fg, asked.given("original", "final", "priming"), asked.need("priming"));
  const { plato, extract } = brewed(og, fg), units = (strong) => only(inside(strong, 0, 100), strong * bottle);
  const apparent = (plato - platoOf(fg)) / plato;
  const counted = {
    units: units(abv.value), customary: 131.25 * (og - Math.min(fg, og)), duty: abvDuty(og, fg), attenuation: 100 * apparent,
    real_attenuation: 100 * ((plato - extract) / plato), energy: energy(og, fg) * bottle * 10,
  };
  const figures = WORDS.ways.filter(([key]) => Number.isFinite(counted[key])).map(([key, label, relation, source, [unit, , digits], of]) => {
    const value = counted[key], [low, high] = key === "units" ? [abv.low, abv.high].map((end) => units(Math.max(end, 0))) : [value, value];
    return figure(key, label, value, [unit, digits], working(relation, asked.given(...of), [source]), { low, high, interval: abv.interval });
  });
  const findings = [];
  const share = counted.attenuation / 100;
  if (share < 0.5)
    findings.push(finding(URGENCY.measure, "low_attenuation", `Only ${fixed(100 * share, 0)} % of the gravity has gone: few beers stop there.`, "Is it finished? Read again in a few days."));
  else if (share > 1.05)
    findings.push(finding(URGENCY.measure, "below_possible", "It ended below what sugar alone would: a wild yeast, or one of the two gravities is wrong.", "Was the wort stirred before the first reading?"));
  return {
    headline: `About ${show(abv.value, 1)} % vol (${show(abv.low, 1)} to ${show(abv.high, 1)}); a bottle of ${asked.values.bottle} holds ${show(counted.units, 1)} units.`,
    why: `It fell ${show((og - fg) * 1000, 0)} points, ${show(counted.attenuation, 0)} % of its gravity.`,
    figures: [abv, ...figures],
    findings,
    cautions: [WORDS.alcohol, "Selling needs leave and a measured strength; look at your law."],
  };
};

/* --- boiling water --- */

const landed = (parts, litres, boiling, tap) => {
  if (boiling > litres) throw new InputError("Boiling water", `${general(boiling)} L is more than all the water`, "write the litres from the kettle");
  const all = [...parts, [boiling, REST.heat, REST.kettle], [litres - boiling, REST.heat, tap]];
  const heats = all.map(([mass, heat, temp]) => only(inside(temp, 0, 100) && mass >= 0, mass * heat) * temp);
  const sum = (values) => values.reduce((total, each) => total + each);
  return within(sum(heats) / sum(all.map(([mass, heat]) => mass * heat)), "Boiling water", "no mixture gives that", "check litres and temperatures");
};

/* Boiling water that lands on the target, and where it lands. */
const share = (parts, litres, { target, tap, least }) => {
  const perLitre = REST.kgPerL * REST.heat, gain = REST.kettle - tap;
  const capacities = parts.map(([mass, heat]) => mass * heat);
  const size = litres + (capacities[0] + capacities[1]) / perLitre;
  const base = (capacities[0] * parts[0][2] + capacities[1] * parts[1][2]) / perLitre + litres * tap;
  const holds = litres >= 1e-3 && [target, tap, ...parts.map((part) => part[2])].every((each) => inside(each, 0, 100)) && tap >= 4;
  const boiling = clip((target * size - base) / gain, clip(least, 0, litres), litres);
  return [only(holds, boiling), Math.max(target + (base + boiling * gain - target * size) / size, 0)];
};

export const boilingWater = (asked) => {
  const need = (name) => asked.need(name), [liquid, dry] = [MATERIALS.liquid_malt_extract, MATERIALS.sucrose];
  const grams = [need("extract"), need("dry")], volume = need("volume");
  const litres = within(waterNeeded(grams, [liquid[1][1], dry[1][1]], volume), "Made up to", `${show(volume, 1)} L is too little for so much extract`, "write the volume in the bucket");
  const parts = [[grams[0] / 1000, liquid[2], need("extract_temp")], [grams[1] / 1000, dry[2], 20]];
  const target = need("target"), tap = need("tap");
  const [boiling, reached] = share(parts, litres, { target, tap, least: need("least") });
  within(boiling, "Wanted at the end", "no mixture gives that", "check the temperatures");
  const of = working("Σ mass × specific heat × temperature is kept by mixing", asked.givens, ["mixing_heat_balance", "llano_2005", "mass_balance"],
    [`${show(litres, 1)} L of water make ${asked.values.volume} with the extract`,
      `boiling water arrives at ${general(REST.kettle)} °C; the bucket's own heat is left out`],
    ["The air takes some heat: a long stir ends half a degree or so nearer to the room."]);
  const figures = [
    figure("boiling", "Boiling water", boiling, SHOWN.litres, of, { spread: 0.04 * boiling + 0.1 }),
    figure("temp", "Lands at", reached, SHOWN.celsius, of, { spread: 1 }),
  ], findings = [];
  let headline = `Use ${show(boiling, 1)} L of boiling water and ${show(litres - boiling, 1)} L from the tap: ${fixed(reached, 0)} °C.`;
  if (Math.abs(reached - target) > 1e-6) {
    const hot = reached > target;
    headline = `${hot ? "Too warm: with as little as" : "Too cold: even with"} ${show(boiling, 1)} L of boiling water it lands at ${fixed(reached, 0)} °C.`;
    findings.push(finding(URGENCY.act, "off_target", `The target of ${general(target)} °C is out of reach.`, hot ? "Chill part of the water the day before, or wait." : "Use warmer tap water."));
  }
  const given = asked.number("boiling");
  if (given !== undefined) {
    const there = landed(parts, litres, given, tap), name = `With ${show(given, 1)} L boiling`;
    figures.unshift(figure("landed", name, there, SHOWN.celsius, of, { spread: 1.5 }));
    headline = `${name} water it lands at ${show(there, 0)} °C. ${headline}`;
  }
  return {
    headline,
    why: "Extract must dissolve hot, the yeast wants it cool: the litres of boiling water settle it.",
    figures, findings, cautions: WORDS.boiling,
  };
};

/* --- hops --- */

/* Real extract that hop creep ferments [g/100 g]. */
const creep = (dose, days, t) => {
  const relative = dose / HOPS.dose, most = Math.min(relative, 1), [gentle, likely, steep] = HOPS.pace.map((each) => each ** ((t - 20) / 10));
  const cases = [[HOPS.weak * most, Math.min(gentle, steep)], [most, likely], [HOPS.strong * Math.sqrt(relative), Math.max(gentle, steep)]];
  return cases.map(([size, pace]) => only(inside(days, 0, 3650) && inside(t, 0, 35), HOPS.creep * size * -Math.expm1(-HOPS.perDay * pace * days)));
};

const doseWord = (dose) => [[0.01, "nothing"], [2, "subtle"], [4, "a pale ale's"], [6, "hoppy"], [10, "very hoppy"]]
  .find(([limit]) => dose < limit)?.[1] ?? "beyond what aroma gains from";

const hopFindings = (dose) => {
  if (dose > HOPS.doubtful)
    return [finding(URGENCY.measure, "hops_tenfold",
      `${fixed(dose, 0)} g/L cannot be meant: 1 to 10 g/L is the whole range, and pellets of ${fixed(dose, 0)} g/L would keep ${fixed(100 * Math.min(dose * 0.0075, 1), 0)} % of the beer. “50 to 100 g a litre” is a tenfold slip.`,
      "Is it grams in all, or ounces, or is the volume wrong?")];
  if (dose > HOPS.saturating)
    return [finding(URGENCY.nothing, "hops_saturate", `Above ${general(HOPS.saturating)} g/L aroma hardly grows; beer lost and hop creep do.`)];
  return [];
};

export const hopDose = (asked) => {
  const grams = asked.need("hops"), volume = asked.need("volume"), days = asked.need("days") / 24;
  if (volume <= 0) throw asked.lacking("volume");
  const dose = grams / volume, lost = HOPS.lost.map((each) => grams * each / 1000), fallen = creep(Math.min(dose, 30), days, asked.need("temp"));
  const volumes = fallen.map((fall, at) => fall * HOPS.perPlato * HOPS.co2[at] / GAS.perVolume), points = fallen.map((fall, at) => fall * HOPS.points[at]);
  within(volumes[1], "Beer", "hop creep is not known there", "write 0 to 35 °C");
  const of = working("extract that the hops' enzymes open up × 0.46 g of gas for each gram; two published points carry it", asked.givens,
    ["kirkpatrick_shellhammer_2018", "hop_creep_curve", "balling_nielsen_2007"],
    [`${show(dose, 1)} g/L for ${show(days, 0)} days`, "an upper end, not a forecast: hops differ widely"],
    ["Some pages print this as “5 % more fizz”; the paper's figure can only be 4.75 volumes."]);
  return {
    headline: `${show(dose, 1)} g/L: ${doseWord(dose)}. They keep about ${show(lost[1], 1)} L of beer.`,
    why: `Hops wake the yeast: up to ${show(volumes[2], 1)} volumes more in the bottle if it is filled at once. Wait for two level readings, at least two days apart and warm, after the hops.`,
    figures: [
      figure("dose", "Dose", dose, ["g/L", 2], working("grams ÷ litres", asked.given("hops", "volume"), ["by_definition"])),
      spanned("lost", "Beer that they keep", lost, SHOWN.litres2, working("7 to 8.3 mL of beer for each gram", asked.given("hops"), ["hop_loss_trade_study", "hop_loss_rule"])),
      spanned("creep", "Gas that hop creep can add", volumes, SHOWN.volumes, of),
      spanned("points", "Gravity points", points, SHOWN.points, of),
    ],
    findings: hopFindings(dose),
    cautions: [WORDS.dogs, WORDS.fountain],
    rule_of_thumb: "Two to four days are enough; a week and more is tradition.",
  };
};


