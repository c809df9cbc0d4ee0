/* A timer whose end is kept in this browser: closing the page or a reboot does not stop it. While it runs the screen
   stays awake where the browser lets a page ask for that, which wants HTTPS or this computer itself. */
const KEY = "gylebook-timer-";

const read = (name) => {
  try {
    const kept = JSON.parse(localStorage.getItem(KEY + name));
    return Number.isFinite(kept?.ends) ? kept.ends : null;
  } catch { return null; }
};
const write = (name, ends) => {
  try {
    if (ends === null) localStorage.removeItem(KEY + name);
    else localStorage.setItem(KEY + name, JSON.stringify({ ends }));
  } catch { /* runs on while this page stays open */ }
};

/* Minutes and seconds left; over an hour with hours, past the end how long ago. */
export const clockText = (ms) => {
  const all = Math.ceil(Math.abs(ms) / 1000);
  const [hours, minutes, seconds] = [Math.floor(all / 3600), Math.floor(all / 60) % 60, all % 60];
  const two = (number) => String(number).padStart(2, "0");
  const text = hours ? `${hours}:${two(minutes)}:${two(seconds)}` : `${minutes}:${two(seconds)}`;
  return ms < 0 ? `−${text}` : text;
};

/* Keep the screen awake until let go; asked for again whenever the page comes back into sight. */
export class Awake {
  #lock = null;
  #wanted = false;
  constructor() {
    document.addEventListener("visibilitychange", () => { if (this.#wanted && !document.hidden) this.#ask(); });
  }
  get possible() { return "wakeLock" in navigator; }
  get held() { return this.#lock !== null; }
  async #ask() {
    if (!this.possible || this.#lock) return;
    try {
      const lock = await navigator.wakeLock.request("screen");
      lock.addEventListener("release", () => { this.#lock = null; });
      if (this.#wanted) this.#lock = lock;
      else await lock.release();
    } catch { this.#lock = null; /* a low battery may refuse; the page says so */ }
  }
  async hold() { this.#wanted = true; await this.#ask(); }
  async letGo() { this.#wanted = false; await this.#lock?.release(); this.#lock = null; }
}

/* Three short tones; a browser lets a page sound only after a tap on it. */
let audio = null;
export const allowSound = () => {
  try { audio ??= new AudioContext(); audio.resume(); } catch { audio = null; }
};
export const sound = () => {
  navigator.vibrate?.([300, 150, 300, 150, 600]);
  if (!audio) return;
  for (const start of [0, 0.4, 0.8]) {
    const tone = audio.createOscillator(), gain = audio.createGain();
    tone.frequency.value = 880;
    gain.gain.value = 0.2;
    tone.connect(gain).connect(audio.destination);
    tone.start(audio.currentTime + start);
    tone.stop(audio.currentTime + start + 0.25);
  }
};

/* One timer by its name; `shown(ms)` is called twice a second with what is left, `null` when none runs. */
export class Timer {
  #tick = null;
  #rung = false;
  constructor(name, shown) {
    this.name = name;
    this.shown = shown;
    this.ends = read(name);
    this.#rung = this.ends !== null && this.ends < Date.now() - 60_000; // long over: not worth a noise
    this.#run();
    // Another page of the same timer may have set or stopped it.
    addEventListener("storage", (event) => {
      if (event.key !== KEY + name) return;
      this.ends = read(name);
      this.#rung = false;
      this.#run();
    });
  }
  start(ms) { this.ends = Date.now() + ms; this.#rung = false; write(this.name, this.ends); this.#run(); }
  more(ms) { if (this.ends !== null) this.start(Math.max(0, this.ends - Date.now()) + ms); }
  stop() { this.ends = null; write(this.name, null); this.#run(); }
  #run() {
    clearInterval(this.#tick);
    this.#show();
    if (this.ends !== null) this.#tick = setInterval(() => this.#show(), 500);
  }
  #show() {
    if (this.ends === null) { this.shown(null); return; }
    const left = this.ends - Date.now();
    const rings = left <= 0 && !this.#rung;
    if (rings) { this.#rung = true; sound(); }
    this.shown(left);
  }
}
