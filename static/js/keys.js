// Keys that make a change count once however often it is sent, and buttons that cannot be pressed twice.
import { whenShown } from "./shown.js";

const LONGEST_WAIT_MS = 10_000;

/** Return 128 random bits as hexadecimal. crypto.randomUUID is missing on plain http; getRandomValues is not. */
export function freshKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** Give the form's key field a key of its own for what it sends next. */
export function renewKey(form) {
  const field = form.querySelector("input[data-client-key]");
  if (field) field.value = freshKey();
}

function fillKeys(root, again) {
  for (const field of root.querySelectorAll("input[data-client-key]")) {
    if (again || !field.value) field.value = freshKey();
  }
}

const buttonsOf = (form) =>
  [...form.elements].filter((control) => control.type === "submit" && !control.matches("[data-may-repeat]"));

function release(form) {
  delete form.dataset.sending;
  for (const button of buttonsOf(form)) {
    if (button.dataset.busy === undefined) continue;
    delete button.dataset.busy;
    button.disabled = false;
  }
}

function holdBack(event) {
  const form = event.target;
  if (event.defaultPrevented || form.method !== "post") return;
  if (form.dataset.sending !== undefined) {
    event.preventDefault();
    return;
  }
  form.dataset.sending = "";
  // after this event, so that the pressed button's own name and value are still sent
  setTimeout(() => {
    for (const button of buttonsOf(form)) {
      if (button.disabled) continue;
      button.dataset.busy = "";
      button.disabled = true;
    }
  });
  setTimeout(() => release(form), LONGEST_WAIT_MS); // the answer was a download, or the person pressed stop
}

export function startKeys() {
  whenShown(fillKeys);
  document.addEventListener("submit", holdBack);
  window.addEventListener("pageshow", () => document.querySelectorAll("form[data-sending]").forEach(release));
}
