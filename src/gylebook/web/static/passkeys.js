/* Passkeys: the browser makes them and answers with them; this carries questions and answers to and fro. */
import { say } from "./modules/words.js";

const fromText = (text) => Uint8Array.from(atob(text.replaceAll("-", "+").replaceAll("_", "/")), (letter) => letter.charCodeAt(0));
const toText = (bytes) => btoa(String.fromCharCode(...new Uint8Array(bytes))).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");

const send = async (form, address, content) => {
  const answer = await fetch(address, {
    method: "POST",
    credentials: "same-origin",
    headers: { "Content-Type": "application/json", "X-CSRFToken": form.elements.csrfmiddlewaretoken.value },
    body: JSON.stringify(content),
  });
  const told = await answer.json().catch(() => ({}));
  if (!answer.ok) throw new Error(told.error || say("The book did not answer: reload the page and try once more."));
  return told;
};

const withBytes = (list) => (list || []).map((each) => ({ ...each, id: fromText(each.id) }));

const make = async ({ publicKey: asked }) => {
  const made = await navigator.credentials.create({
    publicKey: {
      ...asked,
      challenge: fromText(asked.challenge),
      user: { ...asked.user, id: fromText(asked.user.id) },
      excludeCredentials: withBytes(asked.excludeCredentials),
    },
  });
  return {
    id: made.id, rawId: toText(made.rawId), type: made.type, clientExtensionResults: {},
    response: {
      clientDataJSON: toText(made.response.clientDataJSON),
      attestationObject: toText(made.response.attestationObject),
    },
  };
};

const use = async ({ publicKey: asked }) => {
  const found = await navigator.credentials.get({
    publicKey: { ...asked, challenge: fromText(asked.challenge), allowCredentials: withBytes(asked.allowCredentials) },
  });
  return {
    id: found.id, rawId: toText(found.rawId), type: found.type, clientExtensionResults: {},
    response: {
      clientDataJSON: toText(found.response.clientDataJSON),
      authenticatorData: toText(found.response.authenticatorData),
      signature: toText(found.response.signature),
      userHandle: found.response.userHandle ? toText(found.response.userHandle) : null,
    },
  };
};

const REFUSED = say("No passkey was used: it was declined, or took too long.");

for (const form of document.querySelectorAll("form[data-passkey]")) {
  if (!window.PublicKeyCredential) break;
  form.hidden = false;
  document.querySelector("[data-without-passkeys]")?.setAttribute("hidden", "");
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const fault = form.querySelector(".error"), button = form.querySelector("button");
    fault.hidden = true;
    button.disabled = true;
    try {
      const asked = await send(form, form.dataset.begin, {});
      const credential = await (form.dataset.passkey === "make" ? make : use)(asked);
      const done = await send(form, form.dataset.finish, {
        credential, name: form.elements.name?.value, next: form.elements.next?.value,
      });
      location.assign(done.next);
    } catch (error) {
      fault.textContent = error instanceof DOMException ? REFUSED : error.message;
      fault.hidden = false;
      button.disabled = false;
    }
  });
}
