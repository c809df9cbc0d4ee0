/* This phone: whether all works here, what is missing and how to get it, its clock, its room, signing out. */
import { counted, number, say } from "../modules/words.js";
import { button, h, moment, span } from "./draw.js";
import { CLOCK_DIFFERS } from "./keeper.js";
import { exported, twice } from "./waiting.js";

const LITTLE = 10_000_000;
const LOOKS = [["", say("As this device")], ["light", say("Light")], ["dark", say("Dark")]];
const store = {
  get look() { try { return localStorage.getItem("gylebook-look") ?? ""; } catch { return ""; } },
  set look(value) { try { if (value) localStorage.setItem("gylebook-look", value); else localStorage.removeItem("gylebook-look"); } catch { /* for this page only */ } },
};

/* What this browser lacks here, in sentences; empty where nothing is missing. */
export const missing = () => {
  if (!isSecureContext) {
    return [say("Pocket opens only while the book is in reach: over plain HTTP a browser keeps no page."), say("The screen is not kept awake while a timer runs."),
      say("The browser may clear what is kept when the phone runs out of room.")];
  }
  return [!("serviceWorker" in navigator) && say("Pocket opens only while the book is in reach: this browser keeps no page."),
    !("wakeLock" in navigator) && say("The screen is not kept awake while a timer runs.")].filter(Boolean);
};

const lacks = () => {
  const found = missing();
  return h("section", {}, h("h2", {}, say("What works here")), found.length ? [h("p", {}, say("Entries are kept and sent as they should. But:")), h("ul", { class: "note-list" }, found.map((line) => h("li", {}, line))),
    !isSecureContext && h("p", {}, say("To get it: serve the book by HTTPS, with “gylebook serve --lan” on the computer that keeps it, and open the link that “gylebook pair” shows there."))]
    : h("p", {}, navigator.serviceWorker?.controller ? say("Everything: Pocket opens without the network, and the screen stays awake while a timer runs.") : say("Everything; this page is being kept just now, and opens without the network from the next time on.")));
};

const room = () => {
  const box = h("section", {}, h("h2", {}, say("Room")), h("p", {}, say("Not known in this browser.")));
  (async () => {
    if (!navigator.storage?.estimate) return;
    const [{ quota = 0, usage = 0 }, stays] = await Promise.all([navigator.storage.estimate(), navigator.storage.persisted?.() ?? false]);
    const left = quota - usage, free = (digits) => ({ left: number((left / 1e6).toFixed(digits)) });
    const lines = [];
    if (left < LITTLE) lines.push(say("Only {left} MB are left for Pocket on this phone: free some room.", free(1)));
    if (!stays) lines.push(say("The browser has not promised to keep what is here ({left} MB free): send what waits soon, or put Pocket on the home screen, which mostly settles it.", free(0)));
    box.lastChild.textContent = lines.length ? lines.join(" ") : say("There is room, and the browser has promised to keep what is here.");
  })().catch(() => {});
  return box;
};

/* What the phone's clock is off by, told; "" where it agrees. */
export const clockOff = (offset) => (Math.abs(offset ?? 0) <= CLOCK_DIFFERS ? "" : offset > 0 ? say("This phone's clock is {span} behind the book's. Entries get the book's time.", { span: span(offset) })
  : say("This phone's clock is {span} ahead of the book's. Entries get the book's time.", { span: span(offset) }));
const clock = (keeper) => {
  const off = clockOff(keeper.offset);
  return h("section", {}, h("h2", {}, say("Clock")), h("p", {}, keeper.offset === null ? say("Not yet held against the book's.")
    : off ? [off, " ", say("Set the phone's clock right.")] : say("It agrees with the book's.")));
};

/* Everything of a person's leaves this phone, and the browser is signed out at the book. */
export const leave = async (keeper) => {
  if (document.documentElement.hasAttribute("data-sign-in")) {
    const hello = await keeper.line.hello().catch(() => null);
    if (hello?.signed_in) {
      await fetch(`${keeper.root}account/sign-out/`, { method: "POST", credentials: "same-origin", redirect: "manual", headers: { "X-CSRFToken": hello.csrf, "Content-Type": "application/x-www-form-urlencoded" }, body: "" });
    } else if (!hello) { keeper.said = say("The book is out of reach: this phone is cleared, but stays signed in until it is signed out at Devices."); }
  }
  keeper.left = true;
  await keeper.store.clear({ entries: true });
  keeper.others?.postMessage("signed out");
  await keeper.load();
};

const out = (keeper) => {
  const waits = keeper.entries.length;
  const signs = document.documentElement.hasAttribute("data-sign-in");
  return h("section", {}, h("h2", {}, signs ? say("Signing out") : say("Clearing")), h("p", {}, say("Everything that this phone keeps of the book goes. The book itself stays as it is.")),
    waits > 0 && [h("p", { class: "error" }, counted(waits, "{n} entry is not in the book yet and would be lost.", "{n} entries are not in the book yet and would be lost."), " ", say("Send them first, or copy them.")), exported(keeper.entries)],
    twice(signs ? say("Sign out here") : say("Clear this phone"), waits ? counted(waits, "Yes, lose {n} entry", "Yes, lose {n} entries") : signs ? say("Yes, sign out here") : say("Yes, clear this phone"), () => leave(keeper)));
};

const look = () => h("section", {}, h("h2", { id: "look-h" }, say("Look")), h("div", { class: "acts", role: "group", "aria-labelledby": "look-h" }, LOOKS.map(([value, words]) => button(words, (event) => {
  store.look = value;
  if (value) document.documentElement.dataset.look = value; else delete document.documentElement.dataset.look;
  for (const each of event.target.parentNode.children) each.setAttribute("aria-pressed", String(each === event.target));
}, { "aria-pressed": String(store.look === value) }))));

export const phoneView = (keeper) => {
  const { document: kept } = keeper;
  return h("div", {}, h("h1", {}, say("This phone")), kept && h("p", {}, counted(kept.brews.length, "It keeps the book of {person} as of {moment}: what is due, {n} running brew, and what you write.",
    "It keeps the book of {person} as of {moment}: what is due, {n} running brews, and what you write.", { person: kept.person, moment: moment(kept.made_at, kept.zone) })),
    keeper.askInstall && h("div", { class: "acts" }, button(say("Put Pocket among the apps"), () => keeper.askInstall())),
    lacks(), clock(keeper), room(), look(), out(keeper), h("p", { class: "acts" }, h("a", { class: "button", href: keeper.root }, say("The whole book"))));
};
