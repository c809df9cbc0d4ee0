/* Writing something down: few fields open, the rest folded; kept on the phone before anything is said. */
import { say } from "../modules/words.js";
import { button, cautions, h, link } from "./draw.js";
import { complain, drawn, quiet, setText, texts, value } from "./fields.js";
import { oddity } from "./numbers.js";
import { happened, made } from "./outbox.js";

const two = (number) => String(number).padStart(2, "0");
const local = (ms) => {
  const at = new Date(ms);
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}T${two(at.getHours())}:${two(at.getMinutes())}`;
};

/* In short, what is written: for the list of what waits. */
const said = (act, values) => {
  const parts = act.fields.filter((field) => values[field.name]).map((field) => {
    const words = field.choices?.find((each) => each.value === values[field.name])?.words ?? values[field.name];
    return say("{label}: {words}", { label: field.label, words });
  });
  return parts.length ? parts.join("; ").slice(0, 300) : act.words;
};

export const quota = (fault) => (fault?.name === "QuotaExceededError"
  ? say("This phone has no room left, so nothing was kept; what you typed still stands here. Free some room, then press again.")
  : say("This phone could not keep it ({fault}); what you typed still stands here. Press again, or write it on paper.", { fault: fault?.name ?? "fault" }));

const whenField = (was) => h("div", { class: "field", "data-field": "happened_at" }, h("label", { for: "f-when" }, say("When it happened"), h("small", {}, " ", say("(empty: this moment)"))),
  h("div", { class: "inputs" }, h("input", { id: "f-when", name: "when", type: "datetime-local", value: was })),
  h("p", { class: "error", role: "alert", hidden: true }));

/* The form of an act; `before` is an entry that came back and is put right. */
export const entryView = (keeper, brew, act, before = null) => {
  const was = before?.values ?? {};
  const open = act.fields.filter((field) => field.at_once || field.required);
  const more = act.fields.filter((field) => !open.includes(field));
  const tell = h("p", { class: "error", role: "alert", hidden: true });
  const meant = new Set(before?.confirmed ?? []);
  const form = h("form", { class: "entry", novalidate: true, autocomplete: "off" },
    h("button", { class: "enter", tabindex: "-1", "aria-hidden": "true" }, say("Write it down")),
    open.map((field) => drawn(field, was[field.name] ?? "")),
    h("details", { class: "more" }, h("summary", {}, more.length ? say("More, and another time") : say("Another time")),
      more.map((field) => drawn(field, was[field.name] ?? "")), whenField(before ? local(Date.parse(happened(before))) : "")),
    tell,
    h("div", { class: "acts at-hand" }, h("button", { class: "button main" }, say("Write it down")), link(before ? "#waiting" : `#brew/${brew.id}`, say("Leave it"), { class: "button" })));

  const odd = (read) => {
    let first = true, fine = true;
    for (const field of act.fields) {
      const { text, unit } = read[field.name];
      const found = oddity(field, text, unit, keeper.document.scales ?? {});
      if (!found || meant.has(field.name)) continue;
      fine = false;
      const mean = () => { meant.add(field.name); keep(); };
      complain(form, field.name, [h("span", {}, found.fault), !found.empty && h("span", { class: "acts" },
        found.suggestion && button(say("It is {suggestion}", found), () => { take(field, found.suggestion); keep(); }),
        button(say("It is meant as it stands"), mean))], first);
      first = false;
    }
    return fine;
  };
  const take = (field, text) => {
    const unit = field.units?.find((symbol) => text.endsWith(` ${symbol}`));
    setText(form, field.name, unit ? text.slice(0, -unit.length - 1) : text);
    if (unit) setText(form, `${field.name} unit`, unit);
  };

  let under = false;
  const keep = async () => {
    if (under) return;
    quiet(form);
    tell.hidden = true;
    const read = texts(form, act.fields);
    if (!odd(read)) return;
    const values = Object.fromEntries(Object.entries(read).map(([name, each]) => [name, value(each)]).filter(([, text]) => text));
    const typed = form.elements.when.value;
    // A time that is typed is read off a clock on the wall: it is the phone's clock that may be off.
    const at = typed ? new Date(typed).getTime() - (keeper.offset ?? 0) : Date.now();
    const told = {
      brew: brew.id, brewName: brew.name, act: act.name, words: act.words, values, confirmed: [...meant].filter((name) => values[name]), at, typed: Boolean(typed),
      offset: keeper.offset, seen: brew.head_seq, book: keeper.document.book, person: keeper.document.person, said: said(act, values),
    };
    under = true;
    try {
      if (before) await again(keeper, before, told, Boolean(typed));
      else await keeper.keep(made(told));
    } catch (fault) {
      tell.textContent = quota(fault);
      tell.hidden = false;
      return;
    } finally {
      under = false;
    }
    keeper.said = say("Kept on this phone: {said}", told);
    location.hash = `#brew/${brew.id}`;
  };
  form.addEventListener("submit", (event) => { event.preventDefault(); keep(); });
  form.addEventListener("input", (event) => { meant.delete(event.target.name?.replace(/ unit$/u, "")); });
  return h("div", {},
    h("p", { class: "kicker" }, link(`#brew/${brew.id}`, say("No. {number} {name}", brew))),
    h("h1", {}, act.words), act.about && h("p", { class: "hint" }, act.about),
    before?.message && h("div", { class: "answer u-act" }, h("p", { class: "urgency" }, before.state === "asks" ? say("The book asks") : say("The book would not take it")), h("p", {}, before.message)),
    cautions(act.cautions), form);
};

/* An entry that came back goes out once more under its own id: nothing of it was written. */
const again = async (keeper, before, told, typed) => {
  const confirmed = [...new Set([...told.confirmed, ...before.confirmed.filter((name) => name === "happened_at" && !typed)])];
  const own = typed ? { at: told.at, offset: told.offset, typed: true, happened_at: "" } : {};
  await keeper.store.change(before.order, (entry) => entry.state !== "waiting", (entry) => ({
    ...entry, ...own, values: told.values, said: told.said, confirmed, state: "waiting", tried: 0, message: "", field: "", suggestion: "",
  }));
  await keeper.changed();
  keeper.now();
};
