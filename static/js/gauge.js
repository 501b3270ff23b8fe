// A gauge that types, or a person who just types: what is typed anywhere on the measuring page goes into the reading,
// and the Enter that a gauge sends behind it keeps it.
import { whenShown } from "./shown.js";

const TYPES = /^[0-9.+-]$/;

/** Tell whether a key pressed at `target` belongs to no other control. */
function isFree(target) {
  return !target.closest("input, select, textarea, button, a, summary");
}

function hear(event) {
  if (event.ctrlKey || event.altKey || event.metaKey || event.isComposing) return;
  const form = document.querySelector("form[data-takes-readings]");
  const field = form?.elements.namedItem("typed");
  if (!field || !isFree(event.target)) return;
  if (TYPES.test(event.key)) {
    event.preventDefault();
    field.focus();
    field.value += event.key;
    field.dispatchEvent(new Event("input", { bubbles: true }));
  } else if (event.key === "Enter" && field.value) {
    event.preventDefault();
    form.requestSubmit();
  }
}

/** Show what came of the last reading without a scroll, and be ready for the next. */
function makeReady(root) {
  const field = root.querySelector("form[data-takes-readings] [name=typed]");
  if (field && !matchMedia("(pointer: coarse)").matches) field.focus({ preventScroll: true });
}

export function startGauge() {
  document.addEventListener("keydown", hear);
  whenShown(makeReady);
}
