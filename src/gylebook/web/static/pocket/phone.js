/* This phone: whether all works here, what is missing and how to get it, its clock, its room, signing out. */
import { button, count, h, moment, span } from "./draw.js";
import { CLOCK_DIFFERS } from "./keeper.js";
import { exported, twice } from "./waiting.js";

const LITTLE = 10_000_000;
const LOOKS = [["", "as this device"], ["light", "light"], ["dark", "dark"]];
const store = {
  get look() { try { return localStorage.getItem("gylebook-look") ?? ""; } catch { return ""; } },
  set look(value) { try { if (value) localStorage.setItem("gylebook-look", value); else localStorage.removeItem("gylebook-look"); } catch { /* for this page only */ } },
};

/* What this browser lacks here, in sentences; empty where nothing is missing. */
export const missing = () => {
  if (!isSecureContext) {
    return ["Pocket opens only while the book is in reach: over plain HTTP a browser keeps no page.", "The screen is not kept awake while a timer runs.",
      "The browser may clear what is kept when the phone runs out of room."];
  }
  return [!("serviceWorker" in navigator) && "Pocket opens only while the book is in reach: this browser keeps no page.",
    !("wakeLock" in navigator) && "The screen is not kept awake while a timer runs."].filter(Boolean);
};

const lacks = () => {
  const found = missing();
  return h("section", {}, h("h2", {}, "What works here"), found.length ? [h("p", {}, "Entries are kept and sent as they should. But:"), h("ul", { class: "note-list" }, found.map((line) => h("li", {}, line))),
    !isSecureContext && h("p", {}, "To get it: serve the book by HTTPS, with “gylebook serve --lan” on the computer that keeps it, and open the link that “gylebook pair” shows there.")]
    : h("p", {}, navigator.serviceWorker?.controller ? "Everything: Pocket opens without the network, and the screen stays awake while a timer runs." : "Everything; this page is being kept just now, and opens without the network from the next time on."));
};

const room = () => {
  const box = h("section", {}, h("h2", {}, "Room"), h("p", {}, "Not known in this browser."));
  (async () => {
    if (!navigator.storage?.estimate) return;
    const [{ quota = 0, usage = 0 }, stays] = await Promise.all([navigator.storage.estimate(), navigator.storage.persisted?.() ?? false]);
    const left = quota - usage;
    const lines = [];
    if (left < LITTLE) lines.push(`Only ${(left / 1e6).toFixed(1)} MB are left for Pocket on this phone: free some room.`);
    if (!stays) lines.push(`The browser has not promised to keep what is here (${(left / 1e6).toFixed(0)} MB free): send what waits soon, or put Pocket on the home screen, which mostly settles it.`);
    box.lastChild.textContent = lines.length ? lines.join(" ") : "There is room, and the browser has promised to keep what is here.";
  })().catch(() => {});
  return box;
};

const clock = (keeper) => h("section", {}, h("h2", {}, "Clock"), h("p", {}, keeper.offset === null ? "Not yet held against the book's."
  : Math.abs(keeper.offset) > CLOCK_DIFFERS ? `This phone's clock is ${span(keeper.offset)} ${keeper.offset > 0 ? "behind" : "ahead of"} the book's. Entries get the book's time; set the phone's clock right.` : "It agrees with the book's."));

/* Everything of a person's leaves this phone, and the browser is signed out at the book. */
export const leave = async (keeper) => {
  if (document.documentElement.hasAttribute("data-sign-in")) {
    const hello = await keeper.line.hello().catch(() => null);
    if (hello?.signed_in) {
      await fetch(`${keeper.root}account/sign-out/`, { method: "POST", credentials: "same-origin", redirect: "manual", headers: { "X-CSRFToken": hello.csrf, "Content-Type": "application/x-www-form-urlencoded" }, body: "" });
    } else if (!hello) { keeper.said = "The book is out of reach: this phone is cleared, but stays signed in until it is signed out at Devices."; }
  }
  keeper.left = true;
  await keeper.store.clear({ entries: true });
  keeper.others?.postMessage("signed out");
  await keeper.load();
};

const out = (keeper) => {
  const waits = keeper.entries.length;
  const signs = document.documentElement.hasAttribute("data-sign-in");
  const words = signs ? "Sign out here" : "Clear this phone";
  return h("section", {}, h("h2", {}, signs ? "Signing out" : "Clearing"), h("p", {}, "Everything that this phone keeps of the book goes. The book itself stays as it is."),
    waits > 0 && [h("p", { class: "error" }, `${count(waits, "entry is", "entries are")} not in the book yet and would be lost. Send them first, or copy them.`), exported(keeper.entries)],
    twice(words, waits ? `Yes, lose ${count(waits, "entry", "entries")}` : `Yes, ${words.toLowerCase()}`, () => leave(keeper)));
};

const look = () => h("section", {}, h("h2", { id: "look-h" }, "Look"), h("div", { class: "acts", role: "group", "aria-labelledby": "look-h" }, LOOKS.map(([value, words]) => button(words, (event) => {
  store.look = value;
  if (value) document.documentElement.dataset.look = value; else delete document.documentElement.dataset.look;
  for (const each of event.target.parentNode.children) each.setAttribute("aria-pressed", String(each === event.target));
}, { "aria-pressed": String(store.look === value) }))));

export const phoneView = (keeper) => {
  const { document: kept } = keeper;
  return h("div", {}, h("h1", {}, "This phone"), kept && h("p", {}, `It keeps the book of ${kept.person} as of ${moment(kept.made_at, kept.zone)}: what is due, ${count(kept.brews.length, "running brew", "running brews")}, and what you write.`),
    keeper.askInstall && h("div", { class: "acts" }, button("Put Pocket among the apps", () => keeper.askInstall())),
    lacks(), clock(keeper), room(), look(), out(keeper), h("p", { class: "acts" }, h("a", { class: "button", href: keeper.root }, "The whole book")));
};
