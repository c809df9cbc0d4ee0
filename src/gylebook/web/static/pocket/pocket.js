/* Pocket: the book in the hand, where there may be no network. Each screen is an address behind the #. */
import { ago, button, count, h, link, span } from "./draw.js";
import { entryView } from "./entry.js";
import { CLOCK_DIFFERS, Keeper } from "./keeper.js";
import { timerLine, timerView } from "./minutes.js";
import { missing, phoneView } from "./phone.js";
import { reckonView } from "./reckon.js";
import { brewView, burstView, todayView } from "./today.js";
import { exported, twice, waitingView } from "./waiting.js";

const { root } = document.documentElement.dataset;
const keeper = new Keeper(root);
const main = document.getElementById("content"), waits = document.getElementById("waits");
const notes = h("div", { class: "notes" });
main.before(notes);

const place = () => location.hash.replace(/^#/u, "").split("/").map(decodeURIComponent);

const lost = (words) => h("div", {}, h("h1", {}, "Not here"), h("p", {}, words), h("p", { class: "acts" }, link("#today", "Today", { class: "button main" })));

/* Nobody is signed in: what waits stays until somebody decides. */
const signedOut = () => {
  const { entries } = keeper;
  return h("div", {}, h("h1", {}, "Nobody is signed in on this phone"),
    h("p", {}, "What it kept of the book was cleared. Sign in, or open a code that “gylebook pair” shows, and it comes back."),
    h("p", { class: "acts" }, h("a", { class: "button main", href: `${root}account/sign-in/?next=${root}pocket/` }, "Sign in")),
    entries.length > 0 && h("section", {}, h("h2", {}, `${count(entries.length, "entry is", "entries are")} still kept here`),
      h("p", {}, "They are sent as soon as whoever wrote them is signed in again. Nobody else's book gets them."), exported(entries),
      twice("Throw them away", `Yes, throw away ${count(entries.length, "entry", "entries")}`, async () => { await keeper.store.clear({ entries: true }); await keeper.changed(); })));
};

const noDocument = () => (keeper.trouble === "signed out" ? signedOut() : h("div", {}, h("h1", {}, "Nothing is kept here yet"),
  h("p", {}, keeper.trouble === "silent" ? "The book does not answer. Pocket has to see it once; then it works without." : "Fetching what is due, the brews and what can be written.")));

const view = () => {
  const [name = "today", one, two] = place();
  if (name === "phone") return phoneView(keeper);
  if (name === "timer") return timerView();
  if (name === "reckon") return reckonView(one);
  if (name === "waiting" && keeper.document) return waitingView(keeper);
  if (!keeper.document) return noDocument();
  if (name === "burst") return burstView(keeper);
  const brew = keeper.brew(one);
  if (name === "brew") return brew ? brewView(keeper, brew) : lost("That brew is not among the running ones on this phone.");
  if (name === "write") {
    const act = keeper.act(two);
    return brew && act ? entryView(keeper, brew, act) : lost("That cannot be written here; the book itself has its page.");
  }
  if (name === "again") {
    const entry = keeper.entries.find((each) => String(each.order) === one && each.state !== "waiting");
    const own = entry && keeper.brew(entry.brew), act = entry && keeper.act(entry.act);
    return own && act ? entryView(keeper, own, act, entry) : lost("That entry does not wait to be put right any more.");
  }
  return todayView(keeper);
};

/* A screen where something may be half typed is not drawn anew under the hand. */
const typing = () => ["write", "again", "reckon", "timer"].includes(place()[0]) && main.childElementCount > 0 && drawnAt === location.hash;
let drawnAt = null, openings = "";
const draw = () => {
  if (typing() && (keeper.document || place()[0] === "reckon" || place()[0] === "timer")) return;
  const fresh = drawnAt !== location.hash;
  // What lies open stays open when the same screen is drawn anew.
  const open = fresh ? [] : [...main.querySelectorAll("details")].map((each) => each.open);
  if (!fresh && main.querySelector(".twice .sure")) return; // a question is being answered
  const made = view();
  main.replaceChildren(made);
  if (!fresh) [...main.querySelectorAll("details")].forEach((each, at) => { if (open[at]) each.open = true; });
  drawnAt = location.hash;
  for (const each of document.querySelectorAll(".bottom nav a")) {
    if (each.hash === `#${place()[0] || "today"}`) each.setAttribute("aria-current", "page"); else each.removeAttribute("aria-current");
  }
  document.title = `${main.querySelector("h1")?.textContent ?? "Pocket"} - Gylebook Pocket`;
};

const state = () => {
  const waiting = keeper.waiting.length, back = keeper.stopped.length, news = keeper.news.length;
  const parts = [waiting ? `${count(waiting, "entry waits", "entries wait")} to be sent` : back ? "" : "All is sent",
    back && `${count(back, "came back", "came back")}`, news && `${news} to see`];
  const how = keeper.trouble === "silent" ? "the book does not answer" : keeper.trouble === "signed out" ? "nobody is signed in" : "";
  return `${parts.filter(Boolean).join(", ")}${how ? `; ${how}` : ""}.`;
};

const said = () => {
  const lines = [];
  const say = (words, ...more) => lines.push(h("div", { class: "note" }, h("p", {}, words), ...more));
  if (keeper.said) say(keeper.said);
  if (keeper.trouble === "blocked") say("Another tab with an older Pocket is open: close it, and this one goes on.");
  if (keeper.trouble === "newer") say("A newer Pocket is open elsewhere on this phone. Nothing is lost: load this page again.", h("div", { class: "acts" }, button("Load it again", () => location.reload())));
  if (keeper.trouble === "speech") say("The book is of a newer release than this page. What waits stays here: load the page again while the book is in reach.", h("div", { class: "acts" }, button("Load it again", () => location.reload())));
  if (keeper.trouble === "store") say(`This phone could not read or write what it keeps (${keeper.fault}). Close other tabs, and look how much room is left under This phone.`);
  if (Math.abs(keeper.offset ?? 0) > CLOCK_DIFFERS) say(`This phone's clock is ${span(keeper.offset)} ${keeper.offset > 0 ? "behind" : "ahead of"} the book's. Entries get the book's time.`);
  if (keeper.strange.length) say(`${count(keeper.strange.length, "entry was", "entries were")} written for another book or by somebody else, and ${keeper.strange.length === 1 ? "is" : "are"} not sent to this one.`, link("#waiting", "Look at them", { class: "button" }));
  else if (keeper.otherBook) say("Another book than before answers at this address; what it says stands here now.");
  if (keeper.document && keeper.trouble === "silent" && Date.now() - Date.parse(keeper.document.made_at) > 3_600_000) say(`What stands here is from ${ago(Date.now() - Date.parse(keeper.document.made_at))}.`);
  if (keeper.newer) say("A newer Pocket is ready.", h("div", { class: "acts" }, button("Take it", keeper.newer)));
  if (!isSecureContext && missing().length && place()[0] !== "phone") say("Over plain HTTP Pocket opens only while the book is in reach, and the screen is not kept awake.", link("#phone", "How to get both", { class: "button" }));
  return lines;
};

const tell = () => {
  const words = state();
  if (waits.textContent !== words) waits.textContent = words;
  waits.classList.toggle("some", keeper.entries.length > 0);
  const lines = said();
  const now = lines.map((each) => each.textContent).join("\n");
  if (now !== openings) { openings = now; notes.replaceChildren(timer, ...lines); }
};
const timer = timerLine();
notes.append(timer);

keeper.addEventListener("change", () => { tell(); draw(); });
addEventListener("hashchange", () => {
  if (place()[0] !== "brew") keeper.said = "";
  draw();
  tell();
  const first = place()[0] === "write" || place()[0] === "again" ? main.querySelector(".field input, .field textarea, .field select") : null;
  if (first) first.focus(); else { scrollTo(0, 0); main.focus({ preventScroll: true }); }
});
addEventListener("beforeinstallprompt", (event) => {
  event.preventDefault();
  keeper.askInstall = () => { event.prompt(); keeper.askInstall = null; };
});

/* The worker keeps this page. A browser without workers as modules takes it without sending in the background. */
const register = async () => {
  if (!isSecureContext || !("serviceWorker" in navigator)) return;
  const at = `${root}pocket/`, options = { scope: at, updateViaCache: "imports" };
  let worker;
  try { worker = await navigator.serviceWorker.register(`${at}worker.js?module`, { ...options, type: "module" }); } catch {
    try { worker = await navigator.serviceWorker.register(`${at}worker.js`, options); } catch { return; /* told under This phone */ }
  }
  const ready = () => {
    if (!worker.waiting || !navigator.serviceWorker.controller) return;
    keeper.newer = () => {
      navigator.serviceWorker.addEventListener("controllerchange", () => location.reload(), { once: true });
      worker.waiting.postMessage("take over");
    };
    tell();
  };
  ready();
  worker.addEventListener("updatefound", () => worker.installing?.addEventListener("statechange", ready));
};

try {
  await keeper.open();
  await keeper.now();
} catch (fault) {
  keeper.trouble = fault?.name === "VersionError" ? "newer" : "store";
  keeper.fault = `${fault?.name}: ${fault?.message}`;
  tell();
  main.replaceChildren(h("h1", {}, "Nothing can be kept here"), h("p", {}, "This browser lets no page keep anything, as in a private window. Open Pocket in an ordinary one."));
}
register();
