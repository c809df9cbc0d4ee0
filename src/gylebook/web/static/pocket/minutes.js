/* A timer for soaking, boiling or cooling, in big digits. Its end is kept, so that closing the page does not stop it. */
import { Awake, Timer, allowSound, clockText } from "../modules/timer.js";
import { locale, number, say } from "../modules/words.js";
import { button, h } from "./draw.js";

const USUAL = [2, 5, 10, 15, 30, 60];
const awake = new Awake();
const shows = new Set();
let left = null;
const timer = new Timer("pocket", (ms) => {
  left = ms;
  if (ms === null) awake.letGo();
  for (const show of [...shows]) if (!show(ms)) shows.delete(show);
});
if (timer.ends !== null && timer.ends > Date.now()) awake.hold();

const begin = (minutes) => { allowSound(); timer.start(minutes * 60_000); awake.hold(); };
const clockAt = (ms) => new Date(Date.now() + ms).toLocaleTimeString(locale, { hour: "2-digit", minute: "2-digit" });

/* A line for every other screen while a timer runs. */
export const timerLine = () => {
  const line = h("a", { class: "timer-line", href: "#timer" });
  const show = (ms) => { line.hidden = ms === null; line.textContent = ms === null ? "" : ms > 0 ? say("Timer: {left} left", { left: clockText(ms) }) : say("Timer: over since {time}", { time: clockAt(ms) }); return true; };
  shows.add(show);
  show(left);
  return line;
};

export const timerView = () => {
  const clock = h("p", { class: "clock" }), told = h("p", { class: "told", role: "status" });
  const hint = h("p", { class: "hint" });
  const minutes = h("input", { type: "text", inputmode: "decimal", id: "minutes", class: "short" });
  const set = h("form", {}, h("div", { class: "acts" }, USUAL.map((each) => button(say("{minutes} min", { minutes: each }), () => begin(each)))), h("div", { class: "field" }, h("label", { for: "minutes" }, say("Other minutes")), h("div", { class: "inputs" }, minutes, h("button", { class: "button main" }, say("Start")))));
  set.addEventListener("submit", (event) => {
    event.preventDefault();
    const wanted = Number(minutes.value.replace(",", "."));
    if (wanted > 0 && wanted <= 1440) begin(wanted); else told.textContent = say("Write minutes, from {least} to {most}.", { least: number("0.1"), most: 1440 });
  });
  const running = h("div", { class: "acts running" }, button(say("One minute more"), () => { allowSound(); timer.more(60_000); awake.hold(); }), button(say("Stop"), () => timer.stop()));
  const box = h("div", { class: "timer" }, clock, told, set, running, hint);
  let said = null;
  const show = (ms) => {
    if (said !== null && !box.isConnected) return false;
    const on = ms !== null;
    clock.hidden = running.hidden = hint.hidden = !on;
    set.hidden = on;
    box.classList.toggle("over", on && ms <= 0);
    if (on) clock.textContent = clockText(ms);
    const words = !on ? "" : ms > 0 ? say("Over at {time}.", { time: clockAt(ms) }) : say("Over since {time}.", { time: clockAt(ms) });
    if (words !== said) { said = words; told.textContent = words; }
    hint.textContent = awake.held ? say("The screen stays awake.") : awake.possible ? say("This phone does not keep the screen awake just now; its own settings can.") : say("The screen is not kept awake: that wants HTTPS, or a newer browser.");
    return true;
  };
  shows.add(show);
  show(left);
  return h("div", {}, h("h1", {}, say("Timer")), h("p", { class: "hint" }, say("For a soak, a boil, a rest. It runs on when Pocket is closed; it rings only while Pocket is open.")), box);
};
