/* The outbox: each entry is on the disk before the page says so, is sent as often as it takes, and goes from here only
   when the book names it as written. The id is made here once, so that the book writes it once. */
import { Refused } from "./line.js";
import { promised } from "./store.js";

const AT_ONCE = 50, MOST_BYTES = 200_000, TOLD_KEPT = 40;
const WRITTEN = new Set(["written", "already"]);

/* Also where the page has no secure context, which randomUUID wants. */
export const newId = () => `pocket-${[...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("")}`;

/* An entry as it is kept. `at` is when it happened by this phone's clock, `offset` what its clock was off by then. A
   correction has an `at` only where the time was wrong, and `was`, the words of what it corrects. */
export const made = ({ brew, brewName, act, words, values, confirmed = [], at, typed = false, offset, seen, book, person, said, corrects, because, was }) => ({
  id: newId(), brew, brewName, act, words, values, confirmed, at, typed, offset: offset ?? null, seen, book, person, said,
  ...(corrects && { corrects, because, was }),
  state: "waiting", tried: 0, message: "", field: "", suggestion: "", keptAt: Date.now(),
});

/* When it happened by the book's clock; the first layout kept that text alone. */
export const happened = (entry) => entry.happened_at || (entry.at === undefined ? "" : new Date(entry.at + (entry.offset ?? 0)).toISOString());

/* What an entry says, apart from how it is sent. */
const content = ({ values, confirmed, happened_at, corrects, because }) => JSON.stringify([values, confirmed, happened_at, corrects, because]);

/* One that never went out may still be another one; of one that did the book may have written what it said. */
export const editable = (entry) => entry.state !== "waiting" || !entry.tried;

/* Settle that moment when an entry first goes out, for the same id must always say the same. The phone's clock may have
   been set since: nothing happened after this moment, nor before the entry that was made before it. What somebody typed
   stands. The phone's own time stays in the entry. */
const settled = (entry, { before, now, offset }) => {
  if (entry.happened_at || entry.typed || entry.at === undefined) return happened(entry);
  let at = entry.at + (entry.offset ?? offset);
  if (at > now) at = entry.at + offset;
  return new Date(Math.min(now, Math.max(at, before))).toISOString();
};

const sent = (entry, own) => ({
  id: entry.id, brew: entry.brew, act: entry.act, values: entry.values, confirmed: entry.confirmed,
  happened_at: happened(entry),
  ...(entry.corrects && { corrects: entry.corrects, because: entry.because }),
  ...(Number.isInteger(entry.seen) && { seen_seq: known(entry.seen, own) }),
});

/* The last entry of the brew that this phone knows: what it has written itself since then is no news to it. */
const known = (seen, own = []) => {
  const mine = new Set(own);
  let last = seen;
  while (mine.has(last + 1)) last += 1;
  return last;
};

const ownOf = (kept) => promised(kept.get("own")).then((found) => found ?? {});

/* The next entries to send, marked as tried before they leave: one that was tried may be in the book already. */
const take = (store, hello) => store.write(["outbox", "kept"], async (outbox, kept) => {
  const all = await promised(outbox.getAll());
  const own = await ownOf(kept);
  const chosen = [];
  const now = Date.now() + hello.offset;
  let bytes = 0, before = (await promised(kept.get("last"))) ?? 0;
  for (const found of all) {
    if (found.state !== "waiting" || !fits(found, hello)) continue;
    const entry = { ...found, happened_at: settled(found, { before, now, offset: hello.offset }) };
    const plain = sent(entry, own[entry.brew]);
    bytes += JSON.stringify(plain).length;
    if (chosen.length === AT_ONCE || (chosen.length && bytes > MOST_BYTES)) break;
    chosen.push(plain);
    if (!entry.typed) before = Math.max(before, Math.min(now, Date.parse(entry.happened_at) || 0));
    outbox.put({ ...entry, tried: entry.tried + 1 });
  }
  kept.put(before, "last");
  return chosen;
});

/* Entries go to the book and in the name that they were written for; those of an older page know neither. */
export const fits = (entry, { book, person }) => (!entry.book || entry.book === book) && (!entry.person || entry.person === person);

/* Write down what the book said. Only what it names as written goes; a stale reply to an entry that was changed since
   then changes nothing. */
const settle = (store, chosen, results) => store.write(["outbox", "told", "kept"], async (outbox, told, kept) => {
  const asked = new Map(chosen.map((plain) => [plain.id, content(plain)]));
  const own = await ownOf(kept);
  let news = 0, written = 0;
  for (const result of results) {
    if (!asked.has(result.id)) continue;
    const entry = await promised(outbox.index("id").get(result.id));
    if (!entry) continue; // another tab was faster
    if (WRITTEN.has(result.status)) {
      written += 1;
      const mine = new Set(own[result.brew] ?? []);
      for (const seq of result.seqs) mine.add(seq);
      own[result.brew] = [...mine].slice(-300);
      const beside = (result.beside ?? []).filter((each) => !mine.has(each.seq));
      const findings = result.findings ?? [];
      if (beside.length || findings.length) news += 1;
      outbox.delete(entry.order);
      told.add({
        at: Date.now(), brew: result.brew, brewName: entry.brewName, act: entry.act, words: result.message || entry.said || entry.words,
        happened: happened(entry), seqs: result.seqs, findings, beside, seen: !(beside.length || findings.length),
      });
    } else if (asked.get(result.id) === content(sent(entry))) {
      outbox.put({ ...entry, state: result.status === "asks" ? "asks" : "refused", message: result.message, field: result.field ?? "", suggestion: result.suggestion ?? "" });
      news += 1;
    }
  }
  kept.put(own, "own");
  const all = await promised(told.getAllKeys());
  if (all.length > TOLD_KEPT) {
    for (const old of (await promised(told.getAll())).slice(0, all.length - TOLD_KEPT)) if (old.seen) told.delete(old.order);
  }
  return { written, news };
});

/* One entry that the book cannot read at all must not keep the others back: then each is sent by itself. */
const delivered = async (line, chosen) => {
  try {
    return await line.send(chosen);
  } catch (fault) {
    if (!(fault instanceof Refused)) throw fault;
    if (chosen.length === 1) return [{ id: chosen[0].id, status: "refused", message: fault.message }];
    const results = [];
    for (const plain of chosen) results.push(...await delivered(line, [plain]));
    return results;
  }
};

const alone = (root, work) => (navigator.locks ? navigator.locks.request(`gylebook-pocket ${root}`, work) : work());

/* Send all that waits, in order. `line` throws where the book does not answer; what was not named stays. */
export const flush = (store, line, root) => alone(root, async () => {
  const hello = await line.hello();
  const done = { hello, written: 0, news: 0 };
  if (!hello.signed_in) return done;
  for (;;) {
    const chosen = await take(store, hello);
    if (!chosen.length) return done;
    const results = await delivered(line, chosen);
    const { written, news } = await settle(store, chosen, results);
    done.written += written;
    done.news += news;
    if (!results.some((result) => chosen.some((plain) => plain.id === result.id))) return done; // no word on any: later
  }
});

/* Own entries that the document already knows need not be remembered. */
export const forgetOwn = (store, heads) => store.write(["kept"], async (kept) => {
  const own = await ownOf(kept);
  for (const [brew, seqs] of Object.entries(own)) own[brew] = seqs.filter((seq) => seq > (heads[brew] ?? 0));
  return promised(kept.put(own, "own"));
});
