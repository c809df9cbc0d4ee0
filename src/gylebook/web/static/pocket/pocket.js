/* Pocket: the book in the hand, where there may be no network. Each screen is an address behind the #. */
import { counted, say } from "../modules/words.js";
import { actFor, standing, TAKE_BACK } from "./correcting.js";
import { ago, button, h, link } from "./draw.js";
import { entryView } from "./entry.js";
import { Keeper } from "./keeper.js";
import { timerLine, timerView } from "./minutes.js";
import { clockOff, missing, phoneView } from "./phone.js";
import { editable } from "./outbox.js";
import { reckonView } from "./reckon.js";
import { brewView, burstView, todayView } from "./today.js";
import { exported, twice, waitingView } from "./waiting.js";

const { root } = document.documentElement.dataset;
const keeper = new Keeper(root);
const main = document.getElementById("content");
const atFoot = document.getElementById("waits");
const notes = h("div", { class: "notes" });
main.before(notes);

const place = () => location.hash.replace(/^#/u, "").split("/").map(decodeURIComponent);

const lost = (words, to = "#today", there = say("Today")) => h("div", {}, h("h1", {}, say("Not here")), h("p", {}, words), h("p", { class: "acts" }, link(to, there, { class: "button main" })));

/* Nobody is signed in: what waits stays until somebody decides. */
const signedOut = () => {
  const { entries } = keeper;
  return h("div", {}, h("h1", {}, say("Nobody is signed in on this phone")),
    h("p", {}, say("What it kept of the book was cleared. Sign in, or open a code that “gylebook pair” shows, and it comes back.")),
    h("p", { class: "acts" }, h("a", { class: "button main", href: `${root}account/sign-in/?next=${root}pocket/` }, say("Sign in"))),
    entries.length > 0 && h("section", {}, h("h2", {}, counted(entries.length, "{n} entry is still kept here", "{n} entries are still kept here")),
      h("p", {}, say("They are sent as soon as whoever wrote them is signed in again. Nobody else's book gets them.")), exported(entries),
      twice(say("Throw them away"), counted(entries.length, "Yes, throw away {n} entry", "Yes, throw away {n} entries"), async () => { await keeper.store.clear({ entries: true }); await keeper.changed(); })));
};

const noDocument = () => (keeper.trouble === "signed out" ? signedOut() : h("div", {}, h("h1", {}, say("Nothing is kept here yet")),
  h("p", {}, keeper.trouble === "silent" ? say("The book does not answer. Pocket has to see it once; then it works without.") : say("Fetching what is due, the brews and what can be written."))));

const view = () => {
  const [name = "today", one, two] = place();
  if (name === "phone") return phoneView(keeper);
  if (name === "timer") return timerView();
  if (name === "reckon") return reckonView(one, keeper.document?.measures);
  if (name === "waiting" && keeper.document) return waitingView(keeper);
  if (!keeper.document) return noDocument();
  if (name === "burst") return burstView(keeper);
  const brew = keeper.brew(one);
  if (name === "brew") return brew ? brewView(keeper, brew) : lost(say("That brew is not among the running ones on this phone."));
  if (name === "write") {
    const act = keeper.act(two);
    return brew && act ? entryView(keeper, brew, act) : lost(say("That cannot be written here; the book itself has its page."));
  }
  if (name === "again") {
    const entry = keeper.entries.find((each) => String(each.order) === one && editable(each));
    const own = entry && keeper.brew(entry.brew), act = entry && actFor(keeper, entry.act);
    return own && act ? entryView(keeper, own, act, entry) : lost(say("That entry does not wait to be put right any more."));
  }
  if (name === "correct" || name === "back") {
    const wrong = standing(brew, Number(two));
    const act = wrong?.act && (name === "back" ? TAKE_BACK : wrong.values && keeper.act(wrong.act));
    if (wrong && keeper.entries.some((each) => each.brew === one && each.corrects === wrong.seq)) return lost(say("Something that takes its place waits already: change that instead."), "#waiting", say("What waits"));
    return act ? entryView(keeper, brew, act, null, wrong) : lost(say("That entry cannot be corrected here; on the brew's page in the book it can."));
  }
  return todayView(keeper);
};

/* A screen where something may be half typed is not drawn anew under the hand. */
const FORMS = ["write", "again", "correct", "back"];
const typing = () => [...FORMS, "reckon", "timer"].includes(place()[0]) && main.childElementCount > 0 && drawnAt === location.hash;
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
  const parts = [waiting ? counted(waiting, "{n} entry waits to be sent", "{n} entries wait to be sent") : back ? "" : say("All is sent"),
    back && counted(back, "{n} came back", "{n} came back"), news && say("{news} to see", { news })];
  const how = keeper.trouble === "silent" ? say("the book does not answer") : keeper.trouble === "signed out" ? say("nobody is signed in") : "";
  return `${parts.filter(Boolean).join(", ")}${how ? `; ${how}` : ""}.`;
};

const reload = () => h("div", { class: "acts" }, button(say("Load it again"), () => location.reload()));
const notices = () => {
  const lines = [];
  const note = (words, ...more) => lines.push(h("div", { class: "note" }, h("p", {}, words), ...more));
  if (keeper.said) note(keeper.said);
  if (keeper.trouble === "blocked") note(say("Another tab with an older Pocket is open: close it, and this one goes on."));
  if (keeper.trouble === "newer") note(say("A newer Pocket is open elsewhere on this phone. Nothing is lost: load this page again."), reload());
  if (keeper.trouble === "speech") note(say("The book is of a newer release than this page. What waits stays here: load the page again while the book is in reach."), reload());
  if (keeper.trouble === "store") note(say("This phone could not read or write what it keeps ({fault}). Close other tabs, and look how much room is left under This phone.", keeper));
  const off = clockOff(keeper.offset);
  if (off) note(off);
  if (keeper.strange.length) note(counted(keeper.strange.length, "{n} entry was written for another book or by somebody else, and is not sent to this one.", "{n} entries were written for another book or by somebody else, and are not sent to this one."), link("#waiting", say("Look at them"), { class: "button" }));
  else if (keeper.otherBook) note(say("Another book than before answers at this address; what it says stands here now."));
  if (keeper.document && keeper.trouble === "silent" && Date.now() - Date.parse(keeper.document.made_at) > 3_600_000) note(say("What stands here is from {ago}.", { ago: ago(Date.now() - Date.parse(keeper.document.made_at)) }));
  if (keeper.newer) note(say("A newer Pocket is ready."), h("div", { class: "acts" }, button(say("Take it"), keeper.newer)));
  if (!isSecureContext && missing().length && place()[0] !== "phone") note(say("Over plain HTTP Pocket opens only while the book is in reach, and the screen is not kept awake."), link("#phone", say("How to get both"), { class: "button" }));
  return lines;
};

const tell = () => {
  const words = state();
  if (atFoot.textContent !== words) atFoot.textContent = words;
  atFoot.classList.toggle("some", keeper.entries.length > 0);
  const lines = notices();
  const now = lines.map((each) => each.textContent).join("\n");
  if (now !== openings) { openings = now; notes.replaceChildren(overTimer, ...lines); }
};
const overTimer = timerLine();
notes.append(overTimer);

keeper.addEventListener("change", () => { tell(); draw(); if (kept) register(); });
addEventListener("hashchange", () => {
  if (place()[0] !== "brew") keeper.said = "";
  draw();
  tell();
  const first = FORMS.includes(place()[0]) && place()[0] !== "back" ? main.querySelector(".field input, .field textarea, .field select") : null;
  if (first) first.focus(); else { scrollTo(0, 0); main.focus({ preventScroll: true }); }
});
addEventListener("beforeinstallprompt", (event) => {
  event.preventDefault();
  keeper.askInstall = () => { event.prompt(); keeper.askInstall = null; };
});

/* The worker keeps this page in the language in which the book answers, which may have been changed since this page was
   kept. A browser without workers as modules takes it without sending in the background. */
let kept = "";
const register = async () => {
  const language = keeper.language || document.documentElement.lang;
  if (!isSecureContext || !("serviceWorker" in navigator) || kept === language) return;
  kept = language;
  const at = `${root}pocket/`, options = { scope: at, updateViaCache: "imports" };
  let worker;
  try { worker = await navigator.serviceWorker.register(`${at}worker.js?module&language=${language}`, { ...options, type: "module" }); } catch {
    try { worker = await navigator.serviceWorker.register(`${at}worker.js?language=${language}`, options); } catch { return; /* told under This phone */ }
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
  main.replaceChildren(h("h1", {}, say("Nothing can be kept here")), h("p", {}, say("This browser lets no page keep anything, as in a private window. Open Pocket in an ordinary one.")));
}
register();
