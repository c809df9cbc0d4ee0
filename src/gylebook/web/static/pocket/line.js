/* The line to the book: who answers, the document, and sending. A reply that is not the book's own (a sign-in page of
   some network, a proxy's error) counts as no answer. */
const SPEAKS = 1;
const PATIENCE = 30_000;

export class NoAnswer extends Error {}
export class Busy extends Error {
  constructor(seconds) { super("busy"); this.seconds = seconds; }
}
export class SignedOut extends Error {}
export class OtherSpeech extends Error {}
export class Refused extends Error {}

const ask = async (address, options = {}) => {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), PATIENCE);
  let answer, body;
  const began = Date.now();
  try {
    answer = await fetch(address, { credentials: "same-origin", cache: "no-store", redirect: "error", ...options, signal: stop.signal });
    body = answer.status === 304 ? null : await answer.text();
  } catch (fault) {
    throw new NoAnswer(fault?.message ?? "");
  } finally {
    clearTimeout(timer);
  }
  const ended = Date.now();
  if (answer.status === 304) return { status: 304 };
  let told = null;
  try { told = JSON.parse(body); } catch { /* not the book */ }
  if (answer.status === 429) throw new Busy(Number(answer.headers.get("Retry-After")) || 30);
  if (told === null || typeof told.api !== "number") throw new NoAnswer(`${answer.status}`);
  if (told.api !== SPEAKS) throw new OtherSpeech();
  if (answer.status === 401) throw new SignedOut();
  if (answer.status >= 500) throw new NoAnswer(told.error?.message ?? "");
  return { status: answer.status, told, etag: answer.headers.get("ETag") ?? "", language: answer.headers.get("Content-Language") ?? "", middle: (began + ended) / 2, took: ended - began };
};

export class Line {
  constructor(root) { this.at = `${root}api/`; this.csrf = ""; }

  /* Who answers. `offset` is what has to be added to this phone's clock to get the book's [ms]. */
  async hello() {
    const { told, middle, took, status, language } = await ask(`${this.at}hello`);
    if (status !== 200) throw new NoAnswer(`${status}`);
    this.csrf = told.csrf;
    return { ...told, language, offset: Math.round(Date.parse(told.now) - middle), took };
  }

  /* The document, or null where the phone has it as it is. */
  async pocket(etag) {
    const { status, told, etag: now } = await ask(`${this.at}pocket`, etag ? { headers: { "If-None-Match": etag } } : {});
    if (status === 304) return null;
    if (status !== 200) throw new NoAnswer(`${status}`);
    return { document: told, etag: now };
  }

  /* What became of each entry. */
  async send(entries) {
    const { status, told } = await ask(`${this.at}entries`, {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-CSRFToken": this.csrf },
      body: JSON.stringify({ api: SPEAKS, entries }),
    });
    if (status === 200) return told.results;
    if (status === 403) throw new NoAnswer(told.error.message); // the mark is old: a new one comes with the next hello
    throw new Refused(told.error.message);
  }
}
