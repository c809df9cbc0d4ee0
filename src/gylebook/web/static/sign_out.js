/* Signing out takes along what Pocket keeps in this browser; entries that are not in the book yet are asked about. */
import { counted, say } from "./modules/words.js";

const PREFIX = "gylebook-pocket ";
const roots = async () => {
  const found = await indexedDB.databases?.();
  return found ? found.map(({ name }) => name).filter((name) => name.startsWith(PREFIX)).map((name) => name.slice(PREFIX.length)) : ["/", "/demo/"];
};

const clear = async () => {
  const { Store } = await import("/static/pocket/store.js");
  const stores = [];
  for (const root of await roots()) stores.push([root, await Store.open(root)]);
  let waits = 0;
  for (const [, store] of stores) waits += await store.count();
  const words = counted(waits, "{n} entry in Pocket is not in the book yet and would be lost.", "{n} entries in Pocket are not in the book yet and would be lost.");
  if (waits && !confirm(`${words} ${say("Sign out and lose them?")}`)) return false;
  for (const [root, store] of stores) {
    await store.clear({ entries: true });
    store.db.close();
    if (typeof BroadcastChannel === "function") new BroadcastChannel(PREFIX + root).postMessage("signed out");
  }
  return true;
};

for (const form of document.querySelectorAll('form[action$="/account/sign-out/"]')) {
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    let go = true;
    try { go = await clear(); } catch { /* Pocket clears itself once it hears that nobody is signed in */ }
    if (go) form.submit();
  });
}
