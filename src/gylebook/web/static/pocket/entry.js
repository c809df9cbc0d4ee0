/* Writing something down: few fields open, the rest folded; kept on the phone before anything is said. */
import { capital, say } from "../modules/words.js";
import { doing, meanwhile, standing, TAKE_BACK } from "./correcting.js";
import { button, cautions, h, link } from "./draw.js";
import { complain, drawn, quiet, setText, texts, value } from "./fields.js";
import { oddity } from "./numbers.js";
import { editable, happened, made } from "./outbox.js";

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

const whenField = (was, correcting) => h("div", { class: "field", "data-field": "happened_at" },
  correcting ? [h("label", { for: "f-when" }, say("When it really happened")), h("p", { class: "hint", id: "f-when-hint" }, capital(say("left out, {default} is taken: {reason}.", { default: say("the moment in the entry"), reason: say("it was right") })))]
    : h("label", { for: "f-when" }, say("When it happened"), h("small", {}, " ", say("(empty: this moment)"))),
  h("div", { class: "inputs" }, h("input", { id: "f-when", name: "when", type: "datetime-local", value: was, "aria-describedby": correcting ? "f-when-hint" : null })),
  h("p", { class: "error", role: "alert", hidden: true }));

const whyField = (act, was) => {
  const box = drawn({ name: "because_wrong", label: act === TAKE_BACK ? say("Why it should not be there") : say("Why the entry was wrong"), hint: say("in a few words, for later"), kind: "text" }, was);
  box.querySelector("input").maxLength = 300;
  return box;
};

/* The form of an act; `before` is an entry of the outbox that is changed, `wrong` the entry of the book whose place is
   taken. Where somebody else took it meanwhile, that is shown, and what is sent takes the place of what stands by now. */
export const entryView = (keeper, brew, act, before = null, wrong = before?.corrects ? standing(brew, before.corrects) ?? { seq: before.corrects, words: before.was } : null) => {
  const was = before?.values ?? wrong?.values ?? {};
  const back = act === TAKE_BACK;
  const main = back ? say("Yes, take it back") : wrong ? say("Correct it") : say("Write it down");
  const open = act.fields.filter((field) => field.at_once || field.required);
  const more = act.fields.filter((field) => !open.includes(field));
  const shown = before && happened(before) ? local(Date.parse(happened(before))) : "";
  const tell = h("p", { class: "error", role: "alert", hidden: true });
  const meant = new Set(before?.confirmed ?? []);
  const form = h("form", { class: `entry${back ? " short" : ""}`, novalidate: true, autocomplete: "off" },
    h("button", { class: "enter", tabindex: "-1", "aria-hidden": "true" }, main),
    open.map((field) => drawn(field, was[field.name] ?? "")),
    !back && h("details", { class: "more", open: Boolean(wrong) && more.some((field) => was[field.name]) }, h("summary", {}, more.length ? say("More, and another time") : say("Another time")),
      more.map((field) => drawn(field, was[field.name] ?? "")), whenField(shown, Boolean(wrong))),
    wrong && whyField(act, before?.because ?? ""),
    tell,
    h("div", { class: "acts at-hand" }, h("button", { class: "button main" }, main), link(before ? "#waiting" : `#brew/${brew.id}`, say("Leave it"), { class: "button" })));

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
    const typed = form.elements.when?.value ?? "";
    // A time that is typed is read off a clock on the wall: it is the phone's clock that may be off.
    const at = typed ? new Date(typed).getTime() - (keeper.offset ?? 0) : wrong ? undefined : Date.now();
    const own = said(act, values);
    const told = {
      brew: brew.id, brewName: brew.name, act: act.name, words: act.words, values, confirmed: [...meant].filter((name) => values[name]), at, typed: Boolean(typed),
      offset: keeper.offset, seen: brew.head_seq, book: keeper.document.book, person: keeper.document.person, said: wrong ? doing(act, wrong.seq, back ? wrong.words : own) : own,
      ...(wrong && { corrects: wrong.seq, because: form.elements.because_wrong.value.trim(), was: wrong.words }),
    };
    under = true;
    try {
      if (!before) await keeper.keep(made(told));
      else if (!await again(keeper, before, told, typed !== shown)) {
        tell.textContent = say("It has gone out meanwhile, so it is changed here no more. Once it is in the book it can be corrected.");
        tell.hidden = false;
        return;
      }
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
    h("h1", {}, wrong && !back ? say("Correct entry {seq}", wrong) : act.words),
    before?.message && h("div", { class: "answer u-act" }, h("p", { class: "urgency" }, before.state === "asks" ? say("The book asks") : say("The book would not take it")), h("p", {}, before.message)),
    wrong && (before && meanwhile(keeper, before) || h("p", { class: "ink" }, say("entry {seq}", wrong), ": ", wrong.words)),
    wrong && !back && h("p", { class: "hint" }, say("The entry stays readable, struck out; what you write here takes its place.")),
    act.about && h("p", { class: "hint" }, act.about),
    cautions(act.cautions), form);
};

/* An entry that came back goes out once more under its own id: nothing of it was written. One that did not go out yet is
   another one by then; whether it still was, is what this answers. */
const again = async (keeper, before, told, timed) => {
  const confirmed = [...new Set([...told.confirmed, ...before.confirmed.filter((name) => name === "happened_at" && !timed)])];
  const { at, offset, typed, values, said: words, corrects, because, was } = told;
  const own = { ...(timed && { at, offset, typed, happened_at: "" }), ...(corrects && { corrects, because, was }) };
  const changed = await keeper.store.change(before.order, editable, (entry) => ({
    ...entry, ...own, values, said: words, confirmed, state: "waiting", tried: 0, message: "", field: "", suggestion: "",
  }));
  await keeper.changed();
  keeper.now();
  return changed;
};
