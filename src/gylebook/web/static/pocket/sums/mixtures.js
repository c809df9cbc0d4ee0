/* Extract, alcohol and density. A value outside the range in which a relation holds gives NaN. */
import { MIX } from "./tables.js";

export const LOWEST = 0.98, HIGHEST = 1.15;
const BITS = 1e-9;
export const inside = (value, low, high) => value >= low && value <= high;
export const only = (holds, value) => holds ? value : NaN;
export const clip = (value, low, high) => Math.min(Math.max(value, low), high);
export const polynomial = (terms, x) => terms.reduceRight((total, term) => total * x + term);
/* Terms that are themselves polynomials of x, in powers of y; from the first power on where `more` stands before. */
const twofold = (rows, x, y, sum) => rows.reduce((total, terms, power) => total + polynomial(terms, x) * y ** (power + 1), sum);

const WATER = MIX.a[0], PER_SG = WATER - MIX.air;
const A_SLOPE = MIX.a.map((term, power) => power * term).slice(1);

export const sgOf = (plato) => 1 + polynomial(MIX.plato, plato);
const sgSlope = (plato) => polynomial(MIX.slope, plato);
export const platoOf = (sg) => {
  let plato = 259 - 259 / sg;
  for (let round = 0; round < 3; round++) plato -= (sgOf(plato) - sg) / sgSlope(plato);
  return plato;
};
export const sgFromPlato = (plato) => only(inside(plato, MIX.lowPlato, MIX.highPlato), sgOf(plato));
export const platoFromSg = (sg) => only(inside(sg, LOWEST, HIGHEST), platoOf(sg));
export const trueDensity = (sg) => MIX.air + sg * PER_SG;

export const water = (t) => polynomial(MIX.water, t) / (1 + MIX.waterBelow * t);
export const sucrose = (w, t) => twofold(MIX.sucrose.slice(1), w, (t - 20) / 100, water(t) + polynomial(MIX.sucrose[0], w));
const ethanol = (p, t) => twofold(MIX.c, p, t - 20, polynomial(MIX.a, p) + polynomial(MIX.b, t - 20));
const perAlcohol = (plato) => MIX.perAlcohol - (MIX.perAlcohol - 1) / 100 * plato;

/* The ethanol and the sugar solution that hold, litre for litre, what the beer holds. */
export const partners = (plato, sg) => {
  const beer = trueDensity(sg), per = perAlcohol(plato);
  let alcohol = (sgOf(plato) - sg) * 1.04, extract = plato - 100 * alcohol * per;
  for (let round = 0; round < 4; round++) {
    const spirit = polynomial(MIX.a, alcohol), sugar = trueDensity(sgOf(extract));
    const spiritSlope = polynomial(A_SLOPE, alcohol), sugarSlope = PER_SG * sgSlope(extract);
    const densityMiss = spirit - WATER + sugar - beer, extractMiss = extract * sugar + 100 * per * alcohol * spirit - plato * beer;
    const byAlcohol = 100 * per * (spirit + alcohol * spiritSlope), byExtract = sugar + extract * sugarSlope;
    const determinant = spiritSlope * byExtract - sugarSlope * byAlcohol;
    alcohol -= (densityMiss * byExtract - extractMiss * sugarSlope) / determinant;
    extract -= (extractMiss * spiritSlope - densityMiss * byAlcohol) / determinant;
  }
  return { alcohol, extract };
};

/* Density of beer over that of water at the same temperature. */
const beerRatio = ({ alcohol, extract }, t) => sucrose(extract / 100, t) / water(t) + ethanol(alcohol, t) / ethanol(0, t) - 1;

const wortChange = (sg, t) => {
  const w = platoOf(sg) / 100;
  return sucrose(w, t) / sucrose(w, 20);
};
const beerChange = (sg, plato, t) => {
  const of = partners(plato, Math.min(sg, sgOf(plato)));
  const beer = { alcohol: Math.max(of.alcohol, 0), extract: sg > sgOf(plato) ? platoOf(sg) : of.extract };
  return beerRatio(beer, t) * water(t) / (beerRatio(beer, 20) * water(20));
};

/* Gravity of a sample from its reading; `original` where it has fermented. */
export const trueSg = (reading, t, ref, offset, original) => {
  const holds = inside(t, 0, original === undefined ? 60 : 40) && inside(ref, 10, 30) && inside(offset, -0.02, 0.02)
    && inside(reading, LOWEST - 0.05, HIGHEST + 0.05) && (original === undefined || inside(original, 1, HIGHEST));
  if (!holds) return NaN;
  const plato = original && platoOf(original), shown = reading - offset;
  const scale = water(ref) / water(20) * (1 - MIX.glass * (t - ref));
  let sg = shown, before;
  for (let round = 0; round < 8; round++) {
    before = sg;
    const near = clip(sg, LOWEST, HIGHEST);
    sg = shown / ((original === undefined ? wortChange(near, t) : beerChange(near, plato, t)) / scale);
    if (Math.abs(sg - before) < 1e-11) break;
  }
  return only(inside(sg, LOWEST - BITS, HIGHEST + BITS), sg);
};

/* Alcohol by mass and by volume and real extract, by the density closure. */
export const brewed = (og, fg) => {
  const plato = platoOf(og), of = partners(plato, fg);
  const alcohol = 100 * of.alcohol * polynomial(MIX.a, of.alcohol) / trueDensity(fg), extract = plato - alcohol * perAlcohol(plato);
  const holds = inside(og, 1, HIGHEST) && inside(fg, LOWEST, HIGHEST) && fg <= og + BITS && extract >= -BITS;
  const made = Math.max(alcohol, 0);
  return { holds, plato, alcohol: made, extract: Math.max(extract, 0), abv: made * trueDensity(fg) / MIX.ethanol };
};

/* Strength with its interval, by volume: lowest, best, highest. */
export const abvInterval = (og, fg, ogSd, fgSd) => {
  const here = brewed(og, fg);
  const up = og + 1e-5 > HIGHEST ? -1e-5 : 1e-5, down = fg - 1e-5 < LOWEST ? 1e-5 : -1e-5;
  const byOg = (brewed(og + up, fg).abv - here.abv) / up, byFg = (brewed(og, fg + down).abv - here.abv) / down;
  const half = Math.hypot(MIX.abvLimit, MIX.sd95 * Math.hypot(byOg * ogSd, byFg * fgSd));
  return [Math.max(here.abv - half, 0), here.abv, here.abv + half].map((each) => only(here.holds, each));
};

const halfEven = (value) => {
  const low = Math.floor(value), over = value - low;
  return over > 0.5 || (over === 0.5 && low % 2) ? low + 1 : low;
};
export const abvDuty = (og, fg) => {
  const degrees = halfEven((og - Math.min(fg, og)) * 1000 * 10) / 10;
  const band = MIX.bands.findIndex((end) => end + 1e-6 >= degrees);
  return only(fg <= og + BITS && band >= 0, degrees * MIX.factors[band]);
};

/* Food energy of 100 mL [kcal]. */
export const energy = (og, fg) => {
  const { holds, alcohol, extract } = brewed(og, fg);
  return only(holds && alcohol <= 20 && extract <= 35, (6.9 * alcohol + 4 * Math.max(extract - MIX.ash, 0)) * fg);
};

/* --- mixing: mass is what it keeps; fractions are extract by mass --- */

const kgPerL = (fraction) => trueDensity(sgOf(100 * fraction)) / 1000;
const WATER_KG = trueDensity(1) / 1000;
const fractionOf = (sg) => only(inside(sg, 1, HIGHEST), Math.max(platoOf(sg), 0) / 100);
const litres = (volume) => only(inside(volume, 1e-3, 1e4), volume);

/* Gravity and volume after water was stirred in. */
export const diluted = (sg, volume, added) => {
  const w = fractionOf(sg), before = litres(volume) * kgPerL(w), after = before + only(inside(added, 0, 1e4), added) * WATER_KG;
  const thin = w * before / after;
  return [sgOf(100 * thin), after / kgPerL(thin)];
};
export const waterToReach = (sg, volume, target) => {
  const w = fractionOf(sg), kg = litres(volume) * kgPerL(w) * (w / only(target >= 1.001, fractionOf(target)) - 1);
  return only(kg >= 0, kg / WATER_KG);
};
export const extractToReach = (sg, volume, target, solids) => {
  const w = fractionOf(sg), aim = fractionOf(target);
  return only(inside(solids, 0.5, 1) && aim >= w, 1000 * litres(volume) * kgPerL(w) * (aim - w) / (solids - aim));
};

const sgFromExtract = (gPerL) => {
  if (!inside(gPerL, 0, MIX.mostExtract)) return NaN;
  let plato = gPerL / 11;
  for (let round = 0; round < 5; round++) {
    const density = trueDensity(sgOf(plato));
    plato -= (plato * density - 100 * gPerL) / (density + plato * sgSlope(plato) * PER_SG);
  }
  return sgOf(plato);
};
/* All the water that makes ingredients up to a volume. */
export const waterNeeded = (grams, solids, volume) => {
  const extract = grams.reduce((sum, mass, place) => sum + mass * solids[place], 0);
  const kg = litres(volume) * trueDensity(sgFromExtract(extract / volume)) / 1000;
  const found = (kg - grams.reduce((sum, mass) => sum + mass, 0) / 1000) / WATER_KG;
  return only(found >= 0, found);
};
