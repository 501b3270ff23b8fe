// The forms of a station: the number keys serve the count that was touched last, good pieces follow scrap and rework,
// and a reason is asked for only where there is something to give one for.
import { whenShown } from "./shown.js";

const numberIn = (field) => Number.parseInt(field.value, 10) || 0;

function serve(field) {
  const pad = field.form?.querySelector("[data-numpad]");
  if (!pad) return;
  for (const other of field.form.querySelectorAll("[data-served]")) delete other.dataset.served;
  field.dataset.served = "";
  if (field.value) field.dataset.untouched = "";
  pad.dataset.numpad = `#${field.id}`;
}

/** What is not named is good, as long as nobody has typed the number of good pieces. */
function followAside(result) {
  const offered = result.querySelector("[data-offered]");
  if (offered.value) result.dataset.follows = offered.value;
  if (!result.dataset.follows) return;
  const aside = [...result.querySelectorAll("[data-aside]")].reduce((sum, field) => sum + numberIn(field), 0);
  result.querySelector("[data-good]").value = String(Math.max(0, Number(result.dataset.follows) - aside));
  offered.value = ""; // the number is now meant as it stands
}

function changed(event) {
  const field = event.target;
  const result = field.closest?.("[data-result]");
  if (!result) return;
  if (field.matches("[data-good]")) {
    delete result.dataset.follows;
    result.querySelector("[data-offered]").value = "";
  }
  if (field.matches("[data-aside]")) followAside(result);
  showReasons(result);
}

function showReasons(root) {
  for (const part of root.querySelectorAll("[data-shown-with]")) {
    part.hidden = numberIn(document.getElementById(part.dataset.shownWith)) === 0;
  }
}

/** The tablet's own keyboard would cover the number keys; a keyboard with a plug still works. */
function prepare(root) {
  for (const pad of root.querySelectorAll("[data-numpad]")) {
    for (const field of pad.closest("form")?.querySelectorAll(".count") ?? []) field.inputMode = "none";
    const first = document.querySelector(pad.dataset.numpad);
    if (!first) continue;
    first.dataset.served = "";
    // a number can be typed, and Enter confirms; a code that was not told from typing is no number and is refused
    if (!document.activeElement?.matches("input, select, textarea")) first.focus({ preventScroll: true });
  }
  showReasons(root);
}

document.addEventListener("focusin", (event) => event.target.matches?.(".count") && serve(event.target));
document.addEventListener("input", changed);
whenShown(prepare);
