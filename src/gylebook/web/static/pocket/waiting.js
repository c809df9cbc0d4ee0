/* What waits, what came back, and what the book noticed in what it took. */
import { ago, button, count, findings, h, link, moment, urgencyClass } from "./draw.js";
import { happened } from "./outbox.js";

/* Two presses, the second on a button that says what is lost. */
export const twice = (words, sure, act) => {
  const box = h("span", { class: "acts twice" });
  const first = button(words, () => {
    const really = button(sure, act, { class: "button sure" });
    box.replaceChildren(really, button("No", () => { box.replaceChildren(first); first.focus(); }));
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
  return h("li", { class: `answer ${urgencyClass(asks ? "Measure" : "Act today")}` }, h("p", { class: "urgency" }, asks ? "The book asks" : "The book would not take it"),
    h("h2", { class: "headline" }, `${entry.brewName ?? `No. ${entry.brew}`}: ${entry.said ?? entry.act}`), h("p", { class: "why" }, entry.message),
    h("div", { class: "acts" }, asks && entry.field && button("It is true as it stands", insist, { class: "button main" }),
      keeper.brew(entry.brew) && keeper.act(entry.act) && link(`#again/${entry.order}`, "Put it right", { class: "button" }),
      twice("Throw it away", "Yes, throw this entry away", () => drop(keeper, entry))));
};

const waits = (keeper, entry) => {
  const strange = keeper.strange.includes(entry);
  const zone = keeper.document?.zone;
  const note = strange ? (entry.book !== keeper.document.book ? "It was written for another book than the one that answers here, and is not sent to it." : `It was written by ${entry.person}, and waits until ${entry.person} is signed in here.`)
    : entry.tried ? "It was sent and no answer came, so it may be in the book already. If you take it back here and it is there, take it back there too." : "";
  return h("li", {}, h("p", {}, h("strong", {}, entry.brewName ?? `No. ${entry.brew}`), ` · ${moment(happened(entry), zone)}`), h("p", {}, entry.said ?? `${entry.act}: ${Object.values(entry.values ?? {}).join(", ")}`),
    note && h("p", { class: "hint" }, note),
    entry.tried || strange ? twice("Take it back", "Yes, take it back", () => drop(keeper, entry)) : h("span", { class: "acts" }, button("Take it back", () => drop(keeper, entry))));
};

const beside = (each) => each.beside.length > 0 && h("div", { class: "side-by-side" }, h("div", {}, h("h3", {}, "You wrote"), h("p", { class: "ink" }, each.words)),
  h("div", {}, h("h3", {}, "Meanwhile others wrote"), h("ul", { class: "plain-list" }, each.beside.map((other) => h("li", {}, h("p", { class: "ink" }, other.words), h("p", { class: "hint" }, `entry ${other.seq}, ${other.by}, ${moment(other.at)}`))))));

const told = (keeper, each) => h("li", {}, h("p", {}, h("strong", {}, each.brewName ?? `No. ${each.brew}`), ` · ${each.words}`),
  beside(each), each.beside.length > 0 && h("p", { class: "hint" }, "Both are in the book; nothing was dropped."), findings(each.findings),
  h("span", { class: "acts" }, !each.seen && button("Seen", async () => { await keeper.store.forgetTold(each.order); await keeper.changed(); }),
    each.seqs.map((seq) => h("a", { class: "button", href: `${keeper.root}brews/${each.brew}/log/${seq}/` }, `Correct or take back entry ${seq}`))));

export const asText = (entries) => JSON.stringify(entries.map((entry) => ({
  id: entry.id, brew: entry.brew, name: entry.brewName, act: entry.act, values: entry.values, confirmed: entry.confirmed, happened_at: happened(entry),
})), null, 1);

/* The entries as text, to be copied somewhere before they go. */
export const exported = (entries) => h("details", { class: "more" }, h("summary", {}, "The entries as text, to copy"),
  h("textarea", { readonly: true, rows: 8, "aria-label": "The waiting entries as JSON" }, asText(entries)),
  navigator.clipboard && h("div", { class: "acts" }, button("Copy", (event) => navigator.clipboard.writeText(asText(entries)).then(() => { event.target.textContent = "Copied"; }, () => { event.target.textContent = "Not copied: mark the text instead"; }))));

export const waitingView = (keeper) => {
  const { waiting, stopped: back, news } = keeper;
  const old = keeper.told.filter((each) => each.seen).reverse().slice(0, 10);
  return h("div", {}, h("h1", {}, waiting.length ? count(waiting.length, "entry waits", "entries wait") : "Nothing waits"),
    h("p", {}, keeper.heard ? `The book last answered ${ago(Date.now() - keeper.heard)}.` : "The book has not answered yet."),
    waiting.length > 0 && h("div", { class: "acts" }, button("Send now", () => keeper.now(), { class: "button main" })),
    back.length > 0 && [h("h2", {}, "Came back"), h("ul", { class: "plain-list" }, back.map((entry) => stopped(keeper, entry)))],
    news.length > 0 && [h("h2", {}, "Written, and something to see"), h("ul", { class: "lines" }, news.map((each) => told(keeper, each)))],
    waiting.length > 0 && [h("h2", {}, "In order"), h("ol", { class: "lines" }, waiting.slice(0, 100).map((entry) => waits(keeper, entry))), waiting.length > 100 && h("p", {}, `And ${waiting.length - 100} more.`), exported(keeper.entries)],
    old.length > 0 && [h("h2", {}, "Lately written"), h("ul", { class: "lines" }, old.map((each) => told(keeper, each)))]);
};
