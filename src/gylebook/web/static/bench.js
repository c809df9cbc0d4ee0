/* The timer of a step on the worktop. */
import { Awake, Timer, allowSound, clockText } from "./modules/timer.js";
import { locale, say } from "./modules/words.js";

for (const box of document.querySelectorAll("[data-timer]")) {
  const clock = box.querySelector(".clock"), told = box.querySelector(".told"), form = box.querySelector("form");
  const running = box.querySelector(".running"), hint = box.querySelector("[data-awake]");
  const awake = new Awake();
  let said = "";
  const tell = (words) => { if (words !== said) { said = words; told.textContent = words; } };

  const shown = (left) => {
    const on = left !== null;
    clock.hidden = running.hidden = !on;
    form.hidden = on;
    box.classList.toggle("over", on && left <= 0);
    if (!on) { tell(""); hint.hidden = true; awake.letGo(); return; }
    clock.textContent = clockText(left);
    const ends = new Date(Date.now() + left).toLocaleTimeString(locale, { hour: "2-digit", minute: "2-digit" });
    tell(left > 0 ? say("Over at {time}.", { time: ends }) : say("Over since {time}.", { time: ends }));
  };
  const wake = async () => {
    await awake.hold();
    hint.hidden = awake.held;
    hint.textContent = awake.possible
      ? say("This device does not keep the screen awake just now; its own settings can.")
      : say("The screen is not kept awake: that wants HTTPS, or a newer browser.");
  };

  const timer = new Timer(box.dataset.timer, shown);
  if (timer.ends !== null && timer.ends > Date.now()) wake();
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    allowSound();
    timer.start(form.elements.minutes.valueAsNumber * 60_000);
    wake();
  });
  box.querySelector("[data-more]").addEventListener("click", () => { allowSound(); timer.more(60_000); wake(); });
  box.querySelector("[data-stop]").addEventListener("click", () => { timer.stop(); form.elements.minutes.focus(); });
}
