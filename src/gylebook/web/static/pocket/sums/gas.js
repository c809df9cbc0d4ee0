/* Gas in beer and in bottles, what each kind of bottle is fit for, and the worst of many bottles. Spans are lowest,
   best, highest. */
import { say } from "../../modules/words.js";
import { Quantity, amount } from "./amounts.js";
import { clip, inside, only, polynomial } from "./mixtures.js";
import { BOTTLES, GAS, NAMES, SUGARS } from "./tables.js";

const NOTHING = [0, 0, 0];
const perBar = (t) => GAS.perBar * (0.01821 + 0.090115 * Math.exp(-1.8 * t / 43.11));
const halfWidth = (t) => 0.03 + 0.002 * Math.max(t - 25, 0);
const held = (gauge, t) => only(inside(gauge, 0, 10), (gauge + GAS.atmosphere) * perBar(t) - GAS.offset);
const virial = (t) => polynomial(GAS.virial, t);

const interpolated = (x, places, values) => {
  if (x <= places[0]) return values[0];
  let low = 0, high = places.length - 1;
  if (x >= places[high]) return values[high];
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (places[middle] <= x) low = middle;
    else high = middle;
  }
  return (values[high] - values[low]) / (places[high] - places[low]) * (x - places[low]) + values[low];
};

/* Left in beer after fermentation, by the warmest it was since [vol]. */
export const residual = (warmest) => {
  const t = clip(warmest, 0, 35), tabled = interpolated(t, GAS.restTemp, GAS.rest);
  const best = t > 22 ? tabled * (held(0, t) / held(0, 22)) : tabled;
  return [Math.min(best, held(0, t)), best, best * 1.03];
};

/* Absolute pressure in a closed bottle; `off` moves solubility by so many half widths. */
const closed = (total, t, headspace, off = 0) => {
  const dissolved = perBar(t) * (1 + off * halfWidth(t)), kelvin = t + GAS.kelvin;
  const b = virial(t) / (GAS.r * kelvin), gas = headspace * GAS.perMol * 1000 / (GAS.r * kelvin * GAS.perVolume);
  const whole = total + GAS.offset, slope = dissolved + gas - b * whole;
  return 2 * whole / (slope + Math.sqrt(slope * slope + 4 * dissolved * b * whole));
};
const gauge = (total, t) => closed(total, t, GAS.headspace) - GAS.atmosphere;

export const ambient = (height) => only(inside(height, -400, 5000), GAS.atmosphere * (1 - 2.25577e-5 * height) ** 5.25588);
const gasClip = (volumes) => clip(volumes, ...GAS.volEnds), warmClip = (t) => clip(t, 0, 50);
export const pressure = (volumes, t, outside = GAS.atmosphere) =>
  [1, 0, -1].map((off) => closed(gasClip(volumes), warmClip(t), GAS.headspace, off) - outside);

const mostVolumes = (limit, t) => {
  const p = limit + GAS.atmosphere, mol = p / (GAS.r * (t + GAS.kelvin));
  const over = GAS.headspace * (mol / (1 + virial(t) * mol) * GAS.perMol * 1000) / GAS.perVolume;
  return held(limit, t) + over;
};

/* Warmest place in which a closed bottle keeps within a pressure; minus infinity for none. */
const warmestFor = (volumes, limit) => {
  if (gauge(volumes, 50) <= limit) return 50;
  if (gauge(volumes, 0) > limit) return -Infinity;
  let low = 0, high = 50, found;
  for (let round = 0; round < GAS.rounds; round++) {
    const temps = Array.from({ length: 33 }, (_, part) => low + (high - low) * (part / 32));
    found = temps.map((t) => gauge(volumes, t));
    const below = clip(found.filter((p) => p <= limit).length - 1, 0, 31);
    [low, high] = [temps[below], temps[below + 1]];
    found = [found[below], found[below + 1]];
  }
  return low + (high - low) * clip((limit - found[0]) / (found[1] - found[0]), 0, 1);
};

/* --- kinds of bottles --- */

/* A pressure beside another one with its unit: the number alone, but with the unit where it is another. */
export const bareBar = (pressure) => amount(pressure, 1, "bar").replace(/ bar$/, "");

export const KINDS = Object.fromEntries(BOTTLES.map(([key, label, never, glass, ceiling, note]) => [key, { key, label, never, glass, ceiling, note }]));
export const BOTTLE_WORDS = new Map([
  ...Object.entries(NAMES).flatMap(([key, [shown, names]]) => [...names, shown].map((name) => [name.toLowerCase(), key])),
  ...BOTTLES.flatMap(([key, label]) => [key, key.replaceAll("_", " "), label.toLowerCase()].map((name) => [name, key])),
]);

export class Bottle {
  constructor(key, size, count) {
    this.litres = size.base("volume");
    this.kind = KINDS[key === "returnable_500" && this.litres < 0.4 ? "returnable_330" : key];
    this.name = NAMES[this.kind.key][0];
    Object.assign(this, { size, count, words: say("{size} {kind}", { size, kind: this.name }) });
    const { never, glass, ceiling } = this.kind;
    this.never = never || (glass && this.litres > GAS.glassLargest);
    this.limit = never ? NOTHING : ceiling.map((each) => Math.min(gauge(each, GAS.ceilingTemp), glass ? GAS.glassMost : Infinity));
  }

  /* The average bottle is held to the cautious end of habit, the worst to the boldest. */
  warmest(average, worst) {
    if (this.never) return -Infinity;
    const found = Math.min(warmestFor(gasClip(average), this.limit[0]), warmestFor(gasClip(worst), this.limit[2]));
    return this.kind.glass ? found : Math.min(found, GAS.plastic);
  }

  most(t) {
    return this.never ? NOTHING : this.limit.map((limit) => mostVolumes(limit, warmClip(t)));
  }

  mayBurst(average, t) {
    return this.never || pressure(average, t)[1] > this.limit[2];
  }

  fit(average, worst, store) {
    if (this.never) return "never";
    const t = warmClip(store), softens = !this.kind.glass && store > GAS.plastic;
    if (gauge(gasClip(average), t) <= this.limit[0] && gauge(gasClip(worst), t) <= this.limit[2] && !softens) return "fit";
    const warmest = this.warmest(average, worst);
    return warmest >= 12 ? say("fit if kept below {warmest}", { warmest: amount(Math.trunc(warmest), 0, "°C") }) : say("not fit");
  }

  get limitWords() {
    return this.never ? say("no pressure at all") : say("{low} by the cautious, {high} by the boldest habit", { low: amount(this.limit[0], 1, "bar"), high: bareBar(this.limit[2]) });
  }
}

export const halfLitre = (key) => new Bottle(key, new Quantity("500", "mL"), 1);
export const weakest = (bottles) => {
  const rank = (bottle) => bottle.limit[0] - (bottle.never ? 1000 : 0);
  return bottles.length ? bottles.reduce((low, each) => rank(each) < rank(low) ? each : low) : halfLitre("unknown_glass");
};

/* --- the parts of a bottle's gas, and its worst bottle --- */

/* Middles add up, the distances to the ends in squares. */
export const together = (...parts) => {
  const best = parts.reduce((sum, part) => sum + part[1], 0);
  const off = (end) => Math.sqrt(parts.reduce((sum, part) => sum + (part[end] - part[1]) ** 2, 0));
  return [Math.max(0, best - off(0)), best, best + off(2)];
};

export const sugared = (grams, sugar, litres) => {
  const beer = Math.max(litres[1], 0.05), [made] = SUGARS[sugar];
  const [low, best, high] = made.map((each) => grams * each / beer / GAS.perVolume);
  const more = (litres[1] - litres[0]) / beer, less = (litres[2] - litres[1]) / beer;
  return [Math.max(0, best - Math.sqrt((best - low) ** 2 + (best * less) ** 2)), best, best + Math.sqrt((high - best) ** 2 + (best * more) ** 2)];
};

const kept = new Map();
const once = (key, make) => kept.get(key) ?? kept.set(key, make()).get(key);

/* Lower half of the normal law: its levels, added up cell by cell, and their places. */
const table = () => once("table", () => {
  const cells = 8192, step = 6.5 / cells, levels = new Float64Array(cells + 1), places = new Float64Array(cells + 1);
  const density = (z) => Math.exp(-z * z / 2) / Math.sqrt(2 * Math.PI);
  levels[0] = GAS.tail;
  places.forEach((_, at) => {
    const z = places[at] = at * step - 6.5;
    if (at) levels[at] = levels[at - 1] + step / 6 * (density(z - step) + 4 * density(z - step / 2) + density(z));
  });
  return [levels, places];
});
const normal = (level) => {
  const [levels, places] = table(), lower = interpolated(Math.min(level, 1 - level), levels, places);
  return level > 0.5 ? -lower : lower;
};

/* The lattice: columns spaced by the roots of primes, the same whenever they are asked for. */
const prime = (number) => {
  let found = 1;
  for (let left = number; left; left--)
    do found += 1; while (Array.from({ length: found - 2 }, (_, each) => each + 2).some((each) => found % each === 0));
  return found;
};
const uniforms = (column) => once(`u${column}`, () => {
  const step = column ? Math.sqrt(prime(column)) % 1 : 1 / GAS.points;
  return Float64Array.from({ length: GAS.points }, (_, place) => (place * step + 0.5 / GAS.points) % 1);
});
const level = (value) => clip(value, 1e-9, 1 - 1e-9);
const normals = (column) => once(`n${column}`, () => uniforms(column).map((each) => normal(level(each))));
const largest = (count, column) => once(`l${count},${column}`, () => uniforms(column).map((each) => normal(level(each) ** (1 / count))));

const halves = ([low, best, high], z) => best + (z > 0 ? (high - best) / GAS.z90 : (best - low) / GAS.z90) * z;
const perHeadspace = (absolute, t) => {
  const kelvin = t + GAS.kelvin;
  return GAS.perMol * 1000 / (GAS.r * kelvin * GAS.perVolume) * absolute / (1 + virial(t) / (GAS.r * kelvin) * absolute);
};

/* What fermentation still makes, at every point of the lattice [vol]. */
const still = (coming) => {
  const vessel = [coming[0], coming[1], Math.max(coming[1], coming[2] / GAS.moreInBottle)].map((end) => end * GAS.perVolume);
  const levels = Array.from({ length: GAS.levels }, (_, at) => (at + 0.5) / GAS.levels);
  const values = levels.map((each) => Math.max(halves(vessel, normal(each)), 0));
  const [low, high] = GAS.perPoint, more = uniforms(GAS.columns.perPoint);
  return uniforms(GAS.columns.later).map((each, at) => interpolated(each, levels, values) * (1 + (high / low - 1) * more[at]) / GAS.perVolume);
};

/* Gas of the worst of the usual number of bottles, passed in one batch of twenty, as gas of one filled as usual [vol]. */
export const worstOf = (dissolved, sugar, coming, uneven) => {
  const { columns, heads, headSd, headEnds, reference: t, points } = GAS, [made] = SUGARS.sucrose;
  const column = Object.fromEntries(Object.entries(columns).map(([name, number]) => [name, normals(number)]));
  const top = largest(GAS.bottles, columns.lots), beside = normals(columns.lots + 1), later = coming[2] > 0 && still(coming);
  const grams = sugar[1] * GAS.perVolume / made[1];
  const litres = [sugar[1] / Math.max(sugar[2], sugar[1]), 1, sugar[1] / Math.max(sugar[0], 0.1 * sugar[1])];
  const found = Float64Array.from({ length: points }, (_, at) => {
    const sweet = sugar[1] > 0 ? grams * made[1] / Math.max(halves(litres, column.litres[at]), 0.05) / GAS.perVolume : 0;
    const average = Math.max(Math.max(halves(dissolved, column.dissolved[at]), 0) + ((later && later[at]) + sweet), 0);
    const head = clip(halves(heads, column.headspace[at]), ...headEnds), off = clip(column.solubility[at] / GAS.z90, -5, 5);
    const bySugar = uneven * sweet, byFill = headSd * perHeadspace(closed(gasClip(average), t, head, off), t);
    const both = Math.max(Math.hypot(bySugar, byFill), 1e-12);
    const total = average + Math.max(bySugar * ((bySugar * top[at] + byFill * beside[at]) / both), -sweet);
    const its = clip(head - headSd * ((byFill * top[at] - bySugar * beside[at]) / both), ...headEnds);
    return total + (heads[1] - its) * perHeadspace(closed(gasClip(total), t, its), t);
  }).sort();
  const place = 0.95 * (points - 1), low = Math.floor(place), part = place - low, gap = found[low + 1] - found[low];
  return part < 0.5 ? found[low] + gap * part : found[low + 1] - gap * (1 - part);
};
