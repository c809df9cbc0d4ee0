/* Sums on gravity, strength, heat and hops. */
import { say } from "../../modules/words.js";
import { InputError, amount, fixed, general, show, tens } from "./amounts.js";
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
  const plato = within(platoFromSg(sg), say("Gravity"), say("this is beyond the sugar tables"), say("write 0.98 to 1.15")), points = (sg - 1) * 1000;
  const of = working(say("extract by mass of a sugar solution that weighs as much as this one, at 20 °C, weighed in air"), asked.givens,
    ["nbs_c440", "sg_plato_fit"], [say("half of the last digit written is ±{half_sg} SG", { half_sg: show(halfSg, 4) })]);
  return {
    headline: say("{sg} is {plato} °P, {points} gravity points.", { sg: show(sg, 4), plato: show(plato, 2), points: show(points, 1) }),
    why: say("One gravity point is a thousandth of specific gravity; four make about one degree Plato."),
    figures: [
      figure("sg", say("Specific gravity"), sg, SHOWN.sg, of, { spread: halfSg }),
      figure("plato", say("Extract"), plato, SHOWN.plato, of, { spread: Math.hypot(halfSg * 258, REST.platoFit) }),
      figure("points", say("Gravity points"), points, SHOWN.number, of, { spread: halfSg * 1000 }),
    ],
  };
};

export const reading = (asked) => {
  const read = needGravity(asked, "reading"), [temp, scale, offset] = ["temp", "scale", "offset"].map((name) => asked.need(name));
  const original = asked.gravity("original");
  const real = (degrees) => within(trueSg(read, degrees, scale, offset, original), say("Sample"), say("no correction holds at {degrees}", { degrees: amount(degrees, null, "°C") }),
    say("cool it to {hottest} or less", { hottest: amount(original === undefined ? 60 : 40, 0, "°C") }));
  const sg = real(temp), byTemp = (real(Math.min(temp + 1, 59)) - real(Math.max(temp - 1, 0))) / 2;
  const added = (sg - read) * 1000, z = REST.normal90;
  const of = working(
    say("reading × density of water at the scale's temperature × glass's expansion = density of the sample; that density brought to 20 °C"),
    asked.givens,
    ["hydrometer_equilibrium", "iso_1768_1975", "bubnik_1995", ...(original === undefined ? [] : ["density_closure", "oiml_r22"])],
    [`${show(read, 4)} ${added >= 0 ? "+" : "−"} ${show(Math.abs(added) / 1000, 4)} = ${show(sg, 4)}`,
      say("the eye ±{eye}, the thermometer ±{thermometer}", { eye: show(z * REST.readingSd, 4), thermometer: show(Math.abs(z * byTemp * 0.7), 4) })],
    [say("A fizzy sample reads 1 to 4 points too high: pour it to and fro and let it stand.")],
  );
  const findings = [];
  if (temp > 40)
    findings.push(finding(URGENCY.measure, "too_hot", say("At {temp} the sample cools while you read it, half a point for each degree.", { temp: amount(temp, null, "°C") }), say("Cool it below 40 °C and read again.")));
  if (read < 0.99)
    findings.push(finding(URGENCY.measure, "wrong_scale", say("{reading} is lighter than any beer.", { reading: show(read, 3) }), say("Is it a spirit hydrometer, or the potential-alcohol scale?")));
  return {
    headline: added >= 0 ? say("It is {sg} at 20 °C: add {added} points.", { sg: show(sg, 4), added: show(added, 1) })
      : say("It is {sg} at 20 °C: take off {added} points.", { sg: show(sg, 4), added: show(-added, 1) }),
    why: say("Read {reading} at {temp} with a glass that is true at {scale}.", { reading: show(read, 4), temp: amount(temp, 1, "°C"), scale: amount(scale, 1, "°C") }),
    figures: [
      figure("sg", say("True gravity at 20 °C"), sg, SHOWN.sg, of, { spread: z * Math.hypot(REST.readingSd, byTemp * REST.thermometerSd) }),
      figure("correction", say("Correction"), added, SHOWN.points, of, { spread: Math.abs(z * byTemp * 700) }),
    ],
    findings,
    missing: original !== undefined || read > 1.03 ? "" : say("Has it fermented, and from which original gravity?"),
  };
};

/* --- water and extract --- */

const outside = (value) => within(value, say("Gravity"), say("these do not go together"), say("check gravity, volume and water"));
const mixing = (asked, step) => working(say("mass of extract before = mass of extract after; densities from the sugar tables"), asked.givens,
  ["mass_balance", "bubnik_1995", "nbs_c440"], [step]);

const watered = (asked, sg, volume, water, figures) => {
  const [after, whole] = diluted(sg, volume, water).map(outside), [name, solids] = MATERIALS[asked.word("material")];
  const grams = (share) => extractToReach(after, whole, sg, share), restore = outside(grams(solids[1])), lost = 100 * (1 - volume / whole);
  const of = mixing(asked, say("{volume} + {water} of water = {whole}", { volume: amount(volume, 2, "L"), water: amount(water, 2, "L"), whole: amount(whole, 2, "L") }));
  figures.push(
    figure("diluted", say("Gravity with the water"), after, SHOWN.sg, of, { spread: 0.0005 }),
    figure("volume", say("Volume with the water"), whole, SHOWN.litres2, of),
    figure("restore", say("To restore it: {name}", { name }), restore, SHOWN.grams, of, { low: grams(solids[2]), high: grams(solids[0]) }),
    figure("weaker", say("Weaker and less bitter by"), lost, SHOWN.perCent, of),
  );
  return say("{sg} becomes {after} in {whole}, {lost} % weaker and less bitter; {grams} g of {name} would restore it.", { sg: show(sg, 4), after: show(after, 4), whole: amount(whole, 1, "L"), lost: show(lost, 0), grams: tens(restore), name });
};

const towards = (asked, sg, volume, target, figures) => {
  if (target <= sg) {
    const water = outside(waterToReach(sg, volume, target));
    figures.push(figure("top_up", say("Water to add"), water, SHOWN.litres2, mixing(asked, say("from {sg} to {target}", { sg: show(sg, 4), target: show(target, 4) })), { spread: 0.02 * water }));
    return say("Add {water} of water to come down to {target}.", { water: amount(water, 1, "L"), target: show(target, 4) });
  }
  const [label, solids] = MATERIALS[asked.word("material")], grams = (share) => extractToReach(sg, volume, target, share);
  if (solids[1] < 0.5) throw new InputError(say("To raise it with"), say("{label} is too thin", { label }), say("choose an extract or a sugar"));
  const best = outside(grams(solids[1]));
  figures.push(figure("add", say("{label} to add", { label }), best, SHOWN.grams, mixing(asked, say("{label} holds {share} % of extract", { label, share: show(100 * solids[1], 0) })), { low: grams(solids[2]), high: grams(solids[0]) }));
  return say("Add {grams} g of {label} to come up to {target}.", { grams: tens(best), label, target: show(target, 4) });
};

export const dilution = (asked) => {
  const sg = needGravity(asked, "gravity"), volume = asked.need("volume"), water = asked.number("water"), target = asked.gravity("target");
  if (water === undefined && target === undefined)
    throw new InputError(say("Water added"), say("neither water nor a wanted gravity was written"), say("write the litres of water or the gravity"));
  const figures = [], words = [];
  if (water !== undefined) words.push(watered(asked, sg, volume, water, figures));
  if (target !== undefined) words.push(towards(asked, sg, volume, target, figures));
  return {
    headline: words.join(" "),
    why: say("Mixing keeps the mass of extract; strength falls in step with gravity, bitterness with volume."),
    figures,
    missing: target === undefined ? say("Which gravity was wanted?") : "",
    cautions: [say("Boil what you add to cool wort for a few minutes, in a little water, and stir it in well.")],
  };
};

/* --- strength --- */

const strengthFigure = (og, fg, inputs, primed) => {
  const [low, base, high] = abvInterval(og, fg, REST.ogSd, REST.fgSd);
  within(base, say("Final gravity"), say("no beer goes from {og} to {fg}", { og: general(og, 4), fg: general(fg, 4) }), say("check both gravities"));
  const added = primed / MIX.perAlcohol / MIX.ethanol * 100, steps = [say("from the gravities {strength} % vol", { strength: show(base, 2) })];
  if (added > 0) steps.push(say("{dose} g/L of priming sugar adds {added} % vol", { dose: show(primed, 1), added: show(added, 2) }));
  const of = working(say("the alcohol for which Balling's balance and the densities of alcohol and extract give the gravity read"), inputs,
    ["density_closure", "balling_nielsen_2007", "oiml_r22", "density_closure_priming"], steps,
    [say("No sum from two gravities is better than about 0.15 % vol: the yield of alcohol differs.")]);
  return figure("abv", say("Strength"), base + added, SHOWN.strength, of, { low: low + added, high: high + added, interval: say("nineteen times in twenty") });
};

export const strength = (asked) => {
  const og = needGravity(asked, "original"), fg = needGravity(asked, "final"), bottle = asked.need("bottle");
  if (og < 1.002) throw new InputError(say("Original gravity"), say("{og} holds nothing to ferment", { og: show(og, 4) }), say("write 1.002 or more"));
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
    findings.push(finding(URGENCY.measure, "low_attenuation", say("Only {share} % of the gravity has gone: few beers stop there.", { share: fixed(100 * share, 0) }), say("Is it finished? Read again in a few days.")));
  else if (share > 1.05)
    findings.push(finding(URGENCY.measure, "below_possible", say("It ended below what sugar alone would: a wild yeast, or one of the two gravities is wrong."), say("Was the wort stirred before the first reading?")));
  return {
    headline: say("About {abv} % vol ({abv_low} to {abv_high}); a bottle of {size} holds {units} units.", {
      abv: show(abv.value, 1), abv_low: show(abv.low, 1), abv_high: show(abv.high, 1), size: asked.values.bottle, units: show(counted.units, 1),
    }),
    why: say("It fell {points} points, {share} % of its gravity.", { points: show((og - fg) * 1000, 0), share: show(counted.attenuation, 0) }),
    figures: [abv, ...figures],
    findings,
    cautions: [WORDS.alcohol, say("Selling needs leave and a measured strength; look at your law.")],
  };
};

/* --- boiling water --- */

const landed = (parts, litres, boiling, tap) => {
  if (boiling > litres) throw new InputError(say("Boiling water"), say("{boiling} is more than all the water", { boiling: amount(boiling, null, "L") }), say("write the litres from the kettle"));
  const all = [...parts, [boiling, REST.heat, REST.kettle], [litres - boiling, REST.heat, tap]];
  const heats = all.map(([mass, heat, temp]) => only(inside(temp, 0, 100) && mass >= 0, mass * heat) * temp);
  const sum = (values) => values.reduce((total, each) => total + each);
  return within(sum(heats) / sum(all.map(([mass, heat]) => mass * heat)), say("Boiling water"), say("no mixture gives that"), say("check litres and temperatures"));
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
  const litres = within(waterNeeded(grams, [liquid[1][1], dry[1][1]], volume), say("Made up to"), say("{volume} is too little for so much extract", { volume: amount(volume, 1, "L") }), say("write the volume in the bucket"));
  const parts = [[grams[0] / 1000, liquid[2], need("extract_temp")], [grams[1] / 1000, dry[2], 20]];
  const target = need("target"), tap = need("tap");
  const [boiling, reached] = share(parts, litres, { target, tap, least: need("least") });
  within(boiling, say("Wanted at the end"), say("no mixture gives that"), say("check the temperatures"));
  const of = working(say("Σ mass × specific heat × temperature is kept by mixing"), asked.givens, ["mixing_heat_balance", "llano_2005", "mass_balance"],
    [say("{water} of water make {volume} with the extract", { water: amount(litres, 1, "L"), volume: asked.values.volume }),
      say("boiling water arrives at {temp}; the bucket's own heat is left out", { temp: amount(REST.kettle, null, "°C") })],
    [say("The air takes some heat: a long stir ends half a degree or so nearer to the room.")]);
  const figures = [
    figure("boiling", say("Boiling water"), boiling, SHOWN.litres, of, { spread: 0.04 * boiling + 0.1 }),
    figure("temp", say("Lands at"), reached, SHOWN.celsius, of, { spread: 1 }),
  ], findings = [];
  let headline = say("Use {litres} of boiling water and {tap} from the tap: {reached}.", { litres: amount(boiling, 1, "L"), tap: amount(litres - boiling, 1, "L"), reached: amount(reached, 0, "°C") });
  if (Math.abs(reached - target) > 1e-6) {
    const hot = reached > target, landing = { litres: amount(boiling, 1, "L"), reached: amount(reached, 0, "°C") };
    headline = hot ? say("Too warm: with as little as {litres} of boiling water it lands at {reached}.", landing) : say("Too cold: even with {litres} of boiling water it lands at {reached}.", landing);
    findings.push(finding(URGENCY.act, "off_target", say("The target of {target} is out of reach.", { target: amount(target, null, "°C") }), hot ? say("Chill part of the water the day before, or wait.") : say("Use warmer tap water.")));
  }
  const given = asked.number("boiling");
  if (given !== undefined) {
    const there = landed(parts, litres, given, tap), name = say("With {litres} boiling", { litres: amount(given, 1, "L") });
    figures.unshift(figure("landed", name, there, SHOWN.celsius, of, { spread: 1.5 }));
    headline = say("With {litres} boiling water it lands at {landed}. {words}", { litres: amount(given, 1, "L"), landed: amount(there, 0, "°C"), words: headline });
  }
  return {
    headline,
    why: say("Extract must dissolve hot, the yeast wants it cool: the litres of boiling water settle it."),
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

const doseWord = (dose) => [[0.01, say("nothing")], [2, say("subtle")], [4, say("a pale ale's")], [6, say("hoppy")], [10, say("very hoppy")]]
  .find(([limit]) => dose < limit)?.[1] ?? say("beyond what aroma gains from");

const hopFindings = (dose) => {
  if (dose > HOPS.doubtful)
    return [finding(URGENCY.measure, "hops_tenfold",
      say("{dose} g/L cannot be meant: 1 to 10 g/L is the whole range, and pellets of {dose} g/L would keep {share} % of the beer. “50 to 100 g a litre” is a tenfold slip.",
        { dose: fixed(dose, 0), share: fixed(100 * Math.min(dose * 0.0075, 1), 0) }),
      say("Is it grams in all, or ounces, or is the volume wrong?"))];
  if (dose > HOPS.saturating)
    return [finding(URGENCY.nothing, "hops_saturate", say("Above {most} g/L aroma hardly grows; beer lost and hop creep do.", { most: general(HOPS.saturating) }))];
  return [];
};

export const hopDose = (asked) => {
  const grams = asked.need("hops"), volume = asked.need("volume"), days = asked.need("days") / 24;
  if (volume <= 0) throw asked.lacking("volume");
  const dose = grams / volume, lost = HOPS.lost.map((each) => grams * each / 1000), fallen = creep(Math.min(dose, 30), days, asked.need("temp"));
  const volumes = fallen.map((fall, at) => fall * HOPS.perPlato * HOPS.co2[at] / GAS.perVolume), points = fallen.map((fall, at) => fall * HOPS.points[at]);
  within(volumes[1], say("Beer"), say("hop creep is not known there"), say("write 0 to 35 °C"));
  const of = working(say("extract that the hops' enzymes open up × 0.46 g of gas for each gram; two published points carry it"), asked.givens,
    ["kirkpatrick_shellhammer_2018", "hop_creep_curve", "balling_nielsen_2007"],
    [say("{dose} g/L for {days} days", { dose: show(dose, 1), days: show(days, 0) }), say("an upper end, not a forecast: hops differ widely")],
    [say("Some pages print this as “5 % more fizz”; the paper's figure can only be 4.75 volumes.")]);
  return {
    headline: say("{dose} g/L: {word}. They keep about {lost} of beer.", { dose: show(dose, 1), word: doseWord(dose), lost: amount(lost[1], 1, "L") }),
    why: say("Hops wake the yeast: up to {volumes} volumes more in the bottle if it is filled at once. Wait for two level readings, at least two days apart and warm, after the hops.", { volumes: show(volumes[2], 1) }),
    figures: [
      figure("dose", say("Dose"), dose, ["g/L", 2], working(say("grams ÷ litres"), asked.given("hops", "volume"), ["by_definition"])),
      spanned("lost", say("Beer that they keep"), lost, SHOWN.litres2, working(say("7 to 8.3 mL of beer for each gram"), asked.given("hops"), ["hop_loss_trade_study", "hop_loss_rule"])),
      spanned("creep", say("Gas that hop creep can add"), volumes, SHOWN.volumes, of),
      spanned("points", say("Gravity points"), points, SHOWN.points, of),
    ],
    findings: hopFindings(dose),
    cautions: [WORDS.dogs, WORDS.fountain],
    rule_of_thumb: say("Two to four days are enough; a week and more is tradition."),
  };
};


