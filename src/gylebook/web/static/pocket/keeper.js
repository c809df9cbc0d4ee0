/* What the page knows and does in the background: the document, the count of waiting entries, the line to the book.
   It sends when the page opens, when the network comes back, when the page comes into sight, after each entry, and by
   itself again and again, less and less often. */
import { Busy, Line, NoAnswer, OtherSpeech, SignedOut } from "./line.js";
import { fits, flush, forgetOwn } from "./outbox.js";
import { Store } from "./store.js";

const SOONEST = 5_000, LATEST = 300_000, STALE = 60_000, AFRESH = 600_000;
export const CLOCK_DIFFERS = 120_000;

export class Keeper extends EventTarget {
  constructor(root) {
    super();
    this.root = root;
    this.line = new Line(root);
    this.document = null;
    this.entries = [];
    this.told = [];
    this.trouble = ""; // "", "silent", "signed out", "speech", "store"
    this.heard = 0; // when the book last answered
    this.offset = null; // what the book's clock is ahead of this phone's [ms]
    this.busy = false;
    this.wait = SOONEST;
    this.others = typeof BroadcastChannel === "function" ? new BroadcastChannel(`gylebook-pocket ${root}`) : null;
  }

  async open() {
    this.store = await Store.open(this.root, () => { this.trouble = "blocked"; this.tell(); });
    this.store.onshut = () => { this.trouble = "newer"; this.tell(); };
    if (this.trouble === "blocked") this.trouble = "";
    await this.load();
    this.others?.addEventListener("message", ({ data }) => { if (data === "signed out") this.left = true; this.load(); });
    addEventListener("online", () => this.now());
    addEventListener("offline", () => this.tell());
    document.addEventListener("visibilitychange", () => { if (!document.hidden) this.now(); });
    addEventListener("pageshow", (event) => { if (event.persisted) this.now(); });
    setInterval(() => { if (!document.hidden && Date.now() - this.heard > AFRESH) this.now(); }, 30_000);
  }

  tell() { this.dispatchEvent(new Event("change")); }

  /* Read everything anew from the disk. */
  async load() {
    const [kept, entries, told] = await Promise.all([this.store.get("pocket"), this.store.entries(), this.store.told()]);
    const clock = await this.store.get("clock");
    this.document = kept?.document ?? null;
    this.etag = kept?.etag ?? "";
    this.heard = Math.max(this.heard, kept?.heard ?? 0);
    this.offset = clock?.offset ?? null;
    this.entries = entries;
    this.told = told;
    if (this.left) this.trouble = "signed out";
    this.tell();
  }
  async changed() { await this.load(); this.others?.postMessage("changed"); }

  get waiting() { return this.entries.filter((entry) => entry.state === "waiting"); }
  get stopped() { return this.entries.filter((entry) => entry.state !== "waiting"); }
  get strange() { return this.document ? this.entries.filter((entry) => !fits(entry, this.document)) : []; }
  get news() { return this.told.filter((each) => !each.seen); }
  brew(id) { return this.document?.brews.find((each) => each.id === id) ?? null; }
  act(name) { return this.document?.acts.find((each) => each.name === name) ?? null; }

  /* Send and ask at once, and start the steps of waiting anew. */
  now() { this.wait = SOONEST; this.left = false; return this.go(); }

  async go() {
    if (this.busy) { this.again = true; return; }
    this.busy = true;
    clearTimeout(this.timer);
    try {
      await this.round();
    } catch (fault) {
      this.stumbled(fault);
    } finally {
      this.busy = false;
    }
    if (this.again) { this.again = false; this.go(); return; }
    await this.changed().catch(() => { this.trouble ||= "store"; this.tell(); });
    this.plan();
  }

  async round() {
    const { hello, written, news } = await flush(this.store, this.line, this.root);
    this.heard = Date.now();
    this.trouble = "";
    await this.heardFrom(hello);
    if (!hello.signed_in) { await this.signedOut(); return; }
    const other = this.document && (this.document.book !== hello.book || this.document.person !== hello.person);
    // What came back may have been overtaken: then it is shown beside what stands by now.
    if (written || news || other || !this.document || Date.now() - (this.asked ?? 0) > STALE) await this.refresh(hello, other);
  }

  async refresh(hello, other) {
    const found = await this.line.pocket(other ? "" : this.etag);
    if (this.left) return; // somebody signed out while the answer was on its way
    this.asked = Date.now();
    const document = found?.document ?? this.document;
    if (other) { // what was told of another book, or to somebody else, is nothing to this one
      await this.store.clear({ entries: false });
      await this.store.put("clock", { offset: this.offset, at: Date.now() });
    }
    await this.store.put("pocket", { document, etag: found?.etag ?? this.etag, heard: this.heard });
    if (found) await forgetOwn(this.store, Object.fromEntries(document.brews.map((each) => [each.id, each.head_seq])));
    this.otherBook = Boolean(other && document.book !== this.document?.book) || this.otherBook;
    this.wait = SOONEST;
  }

  /* The clocks: a quick answer tells the difference best; what is within the time it took is no difference. */
  async heardFrom(hello) {
    this.language = hello.language;
    if (Math.abs(hello.offset - (this.offset ?? Infinity)) <= hello.took / 2 + 500) return;
    this.offset = Math.abs(hello.offset) <= hello.took / 2 + 500 ? 0 : hello.offset;
    await this.store.put("clock", { offset: this.offset, at: Date.now() });
  }

  /* Nobody is signed in here (any more): what is a person's goes. Entries that wait stay until somebody decides. */
  async signedOut() {
    this.trouble = "signed out";
    if (!this.document) return;
    await this.store.clear({ entries: false });
    this.document = null;
  }

  stumbled(fault) {
    if (fault instanceof SignedOut) { this.trouble = "signed out"; return; }
    if (fault instanceof OtherSpeech) { this.trouble = "speech"; return; }
    if (fault instanceof Busy) { this.wait = fault.seconds * 1000; return; }
    this.trouble = fault instanceof NoAnswer ? "silent" : this.store.shut ? "newer" : "store";
    if (!(fault instanceof NoAnswer)) this.fault = `${fault?.name ?? ""} ${fault?.message ?? fault}`;
  }

  plan() {
    clearTimeout(this.timer);
    const more = this.waiting.some((entry) => !this.document || fits(entry, this.document));
    if (this.trouble === "signed out" || this.trouble === "newer" || this.trouble === "speech") return;
    if (!more && this.trouble === "") return;
    // Phones that lost the same network must not all come back at the same moment.
    this.timer = setTimeout(() => this.go(), this.wait * (0.75 + Math.random() / 2));
    this.wait = Math.min(LATEST, this.wait * 2);
  }

  /* Keep one entry; it is on the disk when this resolves. */
  async keep(entry) {
    await this.store.add(entry);
    await this.changed();
    this.wake();
    this.now();
  }

  async wake() {
    try {
      const worker = await navigator.serviceWorker?.getRegistration(`${this.root}pocket/`);
      await worker?.sync?.register("outbox");
    } catch { /* a bonus alone: the page sends by itself */ }
    try {
      if (!this.askedToStay) { this.askedToStay = true; await navigator.storage?.persist?.(); }
    } catch { /* told under This phone */ }
  }
}
