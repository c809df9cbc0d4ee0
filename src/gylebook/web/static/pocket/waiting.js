/* What waits, what came back, and what the book noticed in what it took. */
import { counted, say } from "../modules/words.js";
import { actFor, meanwhile, standing, takenBack } from "./correcting.js";
import { ago, button, findings, h, link, moment, urgencyClass } from "./draw.js";
import { editable, happened } from "./outbox.js";

const nameOf = (entry) => entry.brewName ?? say("No. {brew}", entry);

/* Two presses, the second on a button that says what is lost. */
export const twice = (words, sure, act) => {
  const box = h("span", { class: "acts twice" });
  const first = button(words, () => {
    const really = button(sure, act, { class: "button sure" });
    box.replaceChildren(really, button(say("No"), () => { box.replaceChildren(first); first.focus(); }));
    really.focus();
  });
  box.append(first);
  return box;
};

const drop = async (keeper, entry) => { await keeper.store.change(entry.order, () => true, () => null); await keeper.changed(); };

const stopped = (keeper, entry) => {
  const asks = entry.state === "asks";
  const insist = async () => {
    const field = entry.field === "when" ? "happened_at" : entry.field;
    await keeper.store.change(entry.order, (each) => each.state === "asks", (each) => ({
      ...each, confirmed: [...new Set([...each.confirmed, field])], state: "waiting", tried: 0, message: "", field: "", suggestion: "",
    }));
    await keeper.changed();
    keeper.now();
  };
  return h("li", { class: `answer ${urgencyClass(asks ? "Measure" : "Act today")}` }, h("p", { class: "urgency" }, asks ? say("The book asks") : say("The book would not take it")),
    h("h2", { class: "headline" }, say("{brew}: {words}", { brew: nameOf(entry), words: entry.said ?? entry.act })), h("p", { class: "why" }, entry.message), meanwhile(keeper, entry),
    h("div", { class: "acts" }, asks && entry.field && button(say("It is true as it stands"), insist, { class: "button main" }),
      changeable(keeper, entry) && link(`#again/${entry.order}`, say("Put it right"), { class: "button" }),
      entry.corrects && h("a", { class: "button", href: `${keeper.root}brews/${entry.brew}/log/${entry.corrects}/` }, say("Entry {seq} in the book", { seq: entry.corrects })),
      twice(say("Throw the entry away"), say("Yes, throw this entry away"), () => drop(keeper, entry))));
};

/* Whether its form can be opened here. */
const changeable = (keeper, entry) => {
  const brew = keeper.brew(entry.brew);
  return brew && actFor(keeper, entry.act) && editable(entry) && !(entry.corrects && takenBack(standing(brew, entry.corrects)));
};

const waits = (keeper, entry) => {
  const strange = keeper.strange.includes(entry);
  const zone = keeper.document?.zone;
  const note = strange ? (entry.book !== keeper.document.book ? say("It was written for another book than the one that answers here, and is not sent to it.") : say("It was written by {person}, and waits until {person} is signed in here.", entry))
    : entry.tried ? say("It was sent and no answer came, so it may be in the book already. If you take it back here and it is there, take it back there too.") : "";
  return h("li", {}, h("p", {}, h("strong", {}, nameOf(entry)), ` · ${moment(happened(entry) || entry.keptAt, zone)}`), h("p", {}, entry.said ?? `${entry.act}: ${Object.values(entry.values ?? {}).join(", ")}`),
    note && h("p", { class: "hint" }, note),
    entry.tried || strange ? twice(say("Take it back"), say("Yes, take it back"), () => drop(keeper, entry))
      : h("span", { class: "acts" }, changeable(keeper, entry) && link(`#again/${entry.order}`, say("Change"), { class: "button" }), button(say("Take it back"), () => drop(keeper, entry))));
};

const beside = (each) => each.beside.length > 0 && h("div", { class: "side-by-side" }, h("div", {}, h("h3", {}, say("You wrote")), h("p", { class: "ink" }, each.words)),
  h("div", {}, h("h3", {}, say("Meanwhile others wrote")), h("ul", { class: "plain-list" }, each.beside.map((other) => h("li", {}, h("p", { class: "ink" }, other.words), h("p", { class: "hint" }, say("entry {seq}, {by}, {moment}", { seq: other.seq, by: other.by, moment: moment(other.at) })))))));

const told = (keeper, each) => h("li", {}, h("p", {}, h("strong", {}, nameOf(each)), ` · ${each.words}`),
  beside(each), each.beside.length > 0 && h("p", { class: "hint" }, say("Both are in the book; nothing was dropped.")), findings(each.findings),
  h("span", { class: "acts" }, !each.seen && button(say("Seen"), async () => { await keeper.store.forgetTold(each.order); await keeper.changed(); }),
    each.seqs.map((seq) => h("a", { class: "button", href: `${keeper.root}brews/${each.brew}/log/${seq}/` }, say("Correct or take back entry {seq}", { seq })))));

export const asText = (entries) => JSON.stringify(entries.map((entry) => ({
  id: entry.id, brew: entry.brew, name: entry.brewName, act: entry.act, values: entry.values, confirmed: entry.confirmed, happened_at: happened(entry), corrects: entry.corrects, because: entry.because,
})), null, 1);

/* The entries as text, to be copied somewhere before they go. */
export const exported = (entries) => h("details", { class: "more" }, h("summary", {}, say("The entries as text, to copy")),
  h("textarea", { readonly: true, rows: 8, "aria-label": say("The waiting entries as JSON") }, asText(entries)),
  navigator.clipboard && h("div", { class: "acts" }, button(say("Copy"), (event) => navigator.clipboard.writeText(asText(entries)).then(() => { event.target.textContent = say("Copied"); }, () => { event.target.textContent = say("Not copied: mark the text instead"); }))));

export const waitingView = (keeper) => {
  const { waiting, stopped: back, news } = keeper;
  const old = keeper.told.filter((each) => each.seen).reverse().slice(0, 10);
  return h("div", {}, h("h1", {}, waiting.length ? counted(waiting.length, "{n} entry waits", "{n} entries wait") : say("Nothing waits")),
    h("p", {}, keeper.heard ? say("The book last answered {ago}.", { ago: ago(Date.now() - keeper.heard) }) : say("The book has not answered yet.")),
    waiting.length > 0 && h("div", { class: "acts" }, button(say("Send now"), () => keeper.now(), { class: "button main" })),
    back.length > 0 && [h("h2", {}, say("Came back")), h("ul", { class: "plain-list" }, back.map((entry) => stopped(keeper, entry)))],
    news.length > 0 && [h("h2", {}, say("Written, and something to see")), h("ul", { class: "lines" }, news.map((each) => told(keeper, each)))],
    waiting.length > 0 && [h("h2", {}, say("In order")), h("ol", { class: "lines" }, waiting.slice(0, 100).map((entry) => waits(keeper, entry))), waiting.length > 100 && h("p", {}, say("And {more} more.", { more: waiting.length - 100 })), exported(keeper.entries)],
    old.length > 0 && [h("h2", {}, say("Lately written")), h("ul", { class: "lines" }, old.map((each) => told(keeper, each)))]);
};
