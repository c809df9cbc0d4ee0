/* Correcting an entry that is in the book, and taking it back: offered at the newest ones, of which the phone knows what
   was typed. What the book takes in its place is an entry of its own, and waits and is sent as any other. */
import { say } from "../modules/words.js";
import { h, link, moment } from "./draw.js";

export const TAKE_BACK = {
  name: "withdraw", words: say("Take the entry back"), about: say("For an entry that should not be there at all. It stays readable, struck out; nothing takes its place."), cautions: [], fields: [],
};
export const actFor = (keeper, name) => (name === TAKE_BACK.name ? TAKE_BACK : keeper.act(name));

/* The entry for which another one counts, as far back as this phone knows. */
const rootOf = (brew, seq) => {
  const found = brew.entries.find((each) => each.seq === seq);
  return found?.corrects ? rootOf(brew, found.corrects) : seq;
};

/* What stands for an entry by now: itself, its latest correction, or what took it back; null where this phone does not
   know. The entries are newest first. */
export const standing = (brew, seq) => {
  if (!brew) return null;
  const root = rootOf(brew, seq);
  return brew.entries.find((each) => rootOf(brew, each.seq) === root) ?? null;
};
export const takenBack = (found) => Boolean(found?.corrects) && !found.act;

/* In short, what a correction does: for the list of what waits. */
export const doing = (act, seq, words) => (act === TAKE_BACK ? say("takes back entry {seq}: {words}", { seq, words }) : say("corrects entry {seq}: {words}", { seq, words }));

/* What may be done about an entry of the book. */
export const mends = (keeper, brew, each) => {
  if (keeper.entries.some((entry) => entry.brew === brew.id && entry.corrects === each.seq)) return h("p", { class: "mends" }, link("#waiting", say("Something else waits to take its place")));
  const mend = (screen, act) => link(`#${screen}/${brew.id}/${each.seq}`, act, { "aria-label": say("{act}: {name}", { act, name: say("entry {seq}", each) }) });
  return each.act && each.act !== "plan" && h("p", { class: "mends" },
    each.values && keeper.act(each.act) && mend("correct", say("Correct it")), mend("back", say("Take it back")));
};

/* What stands by now where somebody else was faster; nothing where nobody was. */
export const meanwhile = (keeper, entry) => {
  const found = entry.corrects && standing(keeper.brew(entry.brew), entry.corrects);
  if (!found || found.seq === entry.corrects) return null;
  return h("div", { class: "side-by-side" }, h("div", {}, h("h3", {}, say("You wrote")), h("p", { class: "ink" }, entry.said)),
    h("div", {}, h("h3", {}, say("What stands now")), h("p", { class: "ink" }, takenBack(found) ? say("It was taken back; nothing stands in its place, and nothing is reckoned with it.") : found.words),
      h("p", { class: "hint" }, say("entry {seq}, {by}, {moment}", { seq: found.seq, by: found.by, moment: moment(found.at, keeper.document.zone) }))));
};
