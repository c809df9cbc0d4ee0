/* What is due, and each running brew at hand. */
import { counted, say } from "../modules/words.js";
import { mends } from "./correcting.js";
import { figure, h, link, moment, urgency, urgencyClass } from "./draw.js";
import { happened } from "./outbox.js";

const BOTTLED = new Set(["bottled", "drinking"]);
const QUICK = ["reading", "temperature", "note", "add", "fill"];
const QUICK_BOTTLED = ["open_bottle", "take_out", "temperature", "move", "note"];
const SHORT = {
  reading: say("Reading"), temperature: say("Temperature"), note: say("Note"), add: say("Addition"), fill: say("Count bottles"), open_bottle: say("Opened one"), take_out: say("Took some out"),
  move: say("Moved it"),
};

export const quick = (keeper, brew) => (BOTTLED.has(brew.stage) ? QUICK_BOTTLED : QUICK).filter((name) => keeper.act(name));
export const quickLinks = (keeper, brew, most = 9) => h("div", { class: "acts" }, quick(keeper, brew).slice(0, most).map((name) =>
  link(`#write/${brew.id}/${name}`, SHORT[name] ?? keeper.act(name).words, { class: "button", "aria-label": say("{act}: {name}", { act: SHORT[name] ?? keeper.act(name).words, name: brew.name }) })));

/* In danger what to do comes before what to write. */
const mainActs = (danger, act, brew) => [danger && link("#burst", say("What to do at once"), { class: "button main" }),
  act && link(`#write/${brew}/${act.name}`, act.words, { class: danger ? "button" : "button main" })];

const task = (keeper, each) => {
  const act = keeper.act(each.act);
  const at = [each.when, each.place, each.vessel].filter(Boolean).join(", ");
  const brew = keeper.brew(each.brew);
  return h("li", { class: `answer ${urgencyClass(each.urgency)}` }, urgency(each.urgency),
    h("h2", { class: "headline" }, each.words), h("p", { class: "kicker" }, [each.name, at].filter(Boolean).join(" · ")),
    h("details", { class: "why-not" }, h("summary", {}, say("Why")), h("p", {}, each.why)),
    brew && h("div", { class: "acts" }, mainActs(each.urgency === "Danger", act, each.brew),
      link(`#brew/${each.brew}`, say("The brew"), { class: "button", "aria-label": say("The brew {name}", each) })));
};

const running = (keeper, brew) => {
  const waits = keeper.entries.filter((entry) => entry.brew === brew.id).length;
  return h("li", {}, link(`#brew/${brew.id}`, [h("strong", {}, say("No. {number} {name}", brew)),
    h("span", {}, [brew.stage, brew.where, waits && counted(waits, "{n} entry waits", "{n} entries wait")].filter(Boolean).join(" · "))]), quickLinks(keeper, brew, 3));
};

export const todayView = (keeper) => {
  const { today, brews, not_reckoned: missing, zone } = keeper.document;
  return h("div", {}, h("h1", {}, today.headline),
    today.tasks.length > 0 && h("ul", { class: "plain-list" }, today.tasks.map((each) => task(keeper, each))),
    today.collisions.length > 0 && h("ul", { class: "findings" }, today.collisions.map((each) => h("li", { class: urgencyClass(each.urgency) }, h("p", {}, each.text)))),
    today.readings_to_come.map((each) => h("p", { class: "soft" }, say("{name}: the next reading {moment}.", { name: each.name, moment: moment(each.at, zone) }))),
    h("h2", {}, say("Running brews")),
    brews.length ? h("ul", { class: "index brews" }, brews.map((brew) => running(keeper, brew))) : h("p", {}, say("No brew is running. One begins in the book itself, with its plan.")),
    missing.length > 0 && h("p", { class: "soft" }, say("Not reckoned: {brews}; their pages in the book tell why.", { brews: missing.map((id) => say("No. {id}", { id })).join(", ") })),
    h("p", { class: "acts" }, h("a", { class: "button", href: keeper.root }, say("The whole book"))));
};

export const brewView = (keeper, brew) => {
  const { zone, sources } = keeper.document;
  const act = keeper.act(brew.act);
  const mine = keeper.entries.filter((entry) => entry.brew === brew.id);
  const fast = quick(keeper, brew);
  return h("div", {}, h("p", { class: "kicker" }, link("#today", say("Today"))),
    h("h1", {}, h("span", { class: "no" }, say("No. {number}", brew), " "), brew.name),
    h("p", { class: "kicker" }, [brew.stage, brew.where, brew.bottles_left > 0 && counted(brew.bottles_left, "{n} bottle left", "{n} bottles left")].filter(Boolean).join(" · ")),
    h("section", { class: `answer ${urgencyClass(brew.urgency)}` }, urgency(brew.urgency), h("h2", { class: "headline" }, brew.headline),
      h("p", { class: "why" }, brew.why), h("div", { class: "acts" }, mainActs(brew.urgency === "Danger" || brew.danger !== "", act, brew.id))),
    h("h2", {}, say("Write down")), quickLinks(keeper, brew),
    h("details", { class: "more" }, h("summary", {}, say("Something else")), h("div", { class: "acts" }, keeper.document.acts.filter((each) => !fast.includes(each.name)).map((each) =>
      link(`#write/${brew.id}/${each.name}`, each.words, { class: "button" })))),
    figuresOf(brew, sources),
    h("h2", {}, say("Last entries")),
    h("ol", { class: "log" }, mine.reverse().map((entry) => h("li", {}, h("a", { class: "at", href: "#waiting" }, moment(happened(entry) || entry.keptAt, zone), h("span", { class: "entry-no" }, say("waits"))), h("div", { class: "ink" }, entry.said))),
      brew.entries.map((each) => h("li", {}, h("a", { class: "at", href: `${keeper.root}brews/${brew.id}/log/${each.seq}/` }, moment(each.at, zone), h("span", { class: "entry-no" }, say("entry {seq}", each))),
        h("div", { class: "ink" }, each.struck ? h("s", {}, each.words) : each.words), mends(keeper, brew, each)))),
    h("p", { class: "hint" }, say("The plan and all older entries are corrected on the brew's page in the book.")),
    h("p", { class: "acts" }, h("a", { class: "button", href: `${keeper.root}brews/${brew.id}/` }, say("Its page in the book"))));
};

const figuresOf = (brew, sources) => brew.figures.length > 0 && [h("h2", {}, say("Key numbers")), h("dl", { class: "figures" }, brew.figures.map((each) => {
  const [, value, small] = /^(.*?)\s*(\([^()]*\))?$/u.exec(each.text);
  const [relation, ...lines] = each.working;
  return figure({ label: each.label, value, small, relation: relation ?? "", lines, cited: each.sources.map((key) => sources[key] ?? key) });
}))];
export const burstView = (keeper) => {
  const { danger } = keeper.document;
  return h("div", {}, h("section", { class: "answer u-danger" }, urgency("Danger"), h("h1", { class: "headline" }, danger.headline)),
    h("ol", { class: "large-list" }, danger.first.map((line) => h("li", {}, line))),
    h("div", { class: "cautions" }, h("ul", {}, danger.cautions.map((line) => h("li", {}, line)))), h("p", { class: "why" }, danger.why));
};
