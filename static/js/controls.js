// Small helps for hands: number pad, print button, lists that send themselves, a clock that follows the shop's.
import { whenShown } from "./shown.js";

function pressNumpad(key) {
  const field = document.querySelector(key.closest("[data-numpad]").dataset.numpad);
  if (!field) return;
  const press = key.dataset.key;
  if (press === "clear") field.value = "";
  else if (press === "back") field.value = field.value.slice(0, -1);
  else field.value = field.dataset.untouched === undefined ? field.value + press : press;
  delete field.dataset.untouched;
  field.dispatchEvent(new Event("input", { bubbles: true }));
  field.dispatchEvent(new Event("change", { bubbles: true }));
}

/** The first key replaces a number that was filled in for the person, as typing over a selection would. */
function markUntouched(root) {
  for (const pad of root.querySelectorAll("[data-numpad]")) {
    const field = document.querySelector(pad.dataset.numpad);
    if (field?.value && !pad.dataset.ready) field.dataset.untouched = "";
    pad.dataset.ready = "yes";
  }
}

function runClocks(root) {
  for (const face of root.querySelectorAll("[data-clock]:not([data-running])")) {
    const [hours, minutes] = face.textContent.trim().split(":").map(Number);
    const midnightBefore = (hours * 60 + minutes) * 60 + Number(face.dataset.clock);
    const shownAt = performance.now();
    face.dataset.running = "";
    const tick = () => {
      const total = Math.floor((midnightBefore + (performance.now() - shownAt) / 1000) / 60) % 1440;
      face.textContent = [Math.floor(total / 60), total % 60].map((part) => String(part).padStart(2, "0")).join(":");
      if (face.isConnected) setTimeout(tick, 5_000);
    };
    tick();
  }
}

function showCurrentPlace(root) {
  for (const here of root.querySelectorAll(":is(.places, .tabs) [aria-current]")) {
    const strip = here.closest(".places, .tabs");
    const [place, shown] = [here.getBoundingClientRect(), strip.getBoundingClientRect()];
    strip.scrollLeft += place.left - shown.left - (strip.clientWidth - place.width) / 2;
  }
}

function printAtOnce() {
  if (document.querySelector("[data-print-now]")) window.print();
}

export function startControls() {
  window.addEventListener("load", printAtOnce, { once: true });
  document.addEventListener("click", (event) => {
    const key = event.target.closest?.("[data-numpad] [data-key]");
    if (key) pressNumpad(key);
    else if (event.target.closest?.("[data-print]")) window.print();
  });
  document.addEventListener("change", (event) => {
    if (event.target.matches?.("[data-auto-submit]")) event.target.form.requestSubmit();
  });
  whenShown((root) => {
    markUntouched(root);
    runClocks(root);
    showCurrentPlace(root);
  });
}
