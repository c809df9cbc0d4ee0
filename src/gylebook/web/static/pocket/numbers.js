/* Numbers as they are typed with wet hands: comma or point, with or without a unit. The book reads them for good; this
   asks at once about what can hardly be meant. */
import { number as shownNumber, say } from "../modules/words.js";

const NUMBER = /^[-+−]?\s*(?:\d[\d.,\s\u00a0\u202f]*|[.,]\d+)$/u;

/* The number, or null where the text is none. The last comma or point is the decimal mark, spaces group thousands: as the
   book itself reads them. */
export const readNumber = (text) => {
  const plain = text.trim().replace("−", "-").replace("- ", "-");
  if (!NUMBER.test(plain) || plain.length > 32) return null;
  const body = plain.replace(/[\s\u00a0\u202f]/gu, "");
  const last = Math.max(body.lastIndexOf("."), body.lastIndexOf(","));
  if (last < 0) return Number(body);
  const mark = body[last], whole = body.slice(0, last), decimals = body.slice(last + 1);
  if (whole.includes(mark)) return null;
  const number = Number(`${whole.replaceAll(mark === "." ? "," : ".", "") || "0"}.${decimals || "0"}`);
  return Number.isFinite(number) ? number : null;
};

/* A number and what follows it; the unit is "" where nothing does. */
export const split = (text) => {
  const found = /^\s*([-+−]?\s*(?:\d[\d.,\u00a0\u202f]*(?:\s\d{3})*|[.,]\d+))\s*(\D.*)?$/u.exec(text);
  return found ? { number: found[1].trim(), unit: (found[2] ?? "").trim() } : { number: text.trim(), unit: "" };
};

const plain = (number) => shownNumber(String(Number(number.toPrecision(6))));

/* What is odd about a text in a field: null, or {fault, suggestion, certain}; `certain` where the book will not have it.
   `unit` is the one chosen beside it, `scales` how units turn into their base. */
export const oddity = (field, text, unit, scales) => {
  if (!text.trim()) return field.required ? { fault: say("{label}: nothing was written; write it, it cannot be left out.", field), certain: true, empty: true } : null;
  if (field.kind !== "quantity" && field.kind !== "count") return null;
  const parts = split(text);
  const number = readNumber(parts.number);
  if (number === null) return { fault: say("{label}: “{text}” is no number that this phone can read. Write it in digits; the book may still read it.", { label: field.label, text: text.trim().slice(0, 30) }), certain: false };
  const symbol = parts.unit || unit;
  if (field.kind === "count" && !Number.isInteger(number)) return { fault: say("{label}: “{text}” is not a whole number; count whole ones.", { label: field.label, text: text.trim() }), certain: true };
  const base = field.kind === "count" ? "" : field.units[0];
  const scale = symbol === base || !symbol ? { factor: 1, offset: 0 } : scales[symbol];
  if (!scale || (scale.dimension && scale.dimension !== scales[base]?.dimension)) return null; // another scale, or a spelling that the book knows better
  const value = number * scale.factor + scale.offset;
  const within = (range, number_) => range && number_ >= range[0] && number_ <= range[1];
  const [possible, usual] = [field.possible, field.usual];
  if ((!possible || within(possible, value)) && (!usual || within(usual, value))) return null;
  const suggestion = likely(value, base, usual ?? possible);
  const range = possible && !within(possible, value) ? possible : usual;
  const certain = range === possible;
  const told = {
    label: field.label, shown: `${parts.number} ${symbol}`.trim(), low: plain(range[0]), high: `${plain(range[1])} ${base}`.trim(),
  };
  const fault = certain
    ? say("{label}: {shown} can hardly be. The book takes {low} to {high}.", told)
    : say("{label}: {shown} would be most unusual; mostly it is {low} to {high}.", told);
  return { fault, suggestion, certain };
};

/* The obvious reading of a slip: 1012 or 12 for 1.012, 68 for 68 °F. */
const likely = (value, base, range) => {
  if (!range) return "";
  const fine = (guess) => guess >= range[0] && guess <= range[1];
  if (base === "SG") {
    const found = [value / 1000, 1 + value, 1 + value / 1000].find((guess) => fine(guess) && Math.abs(guess * 2000 - Math.round(guess * 2000)) < 1e-6);
    return found ? found.toFixed(4).replace(/0+$/u, "").padEnd(5, "0") : "";
  }
  if (base === "°C" && fine((value - 32) / 1.8)) return `${plain(value)} °F`;
  return "";
};
