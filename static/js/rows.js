// Forms of many rows, typed from paper: Enter goes on to the next field, and counts that nobody has touched follow
// what was typed above them.
import { whenShown } from "./shown.js";

const numberIn = (field) => Number.parseInt(field?.value, 10) || 0;

function fieldsOf(form) {
  return [...form.elements].filter(
    (field) => field.matches("input:not([type=hidden]), select, textarea, button[data-rows-end]") && !field.disabled && field.tabIndex >= 0
      && field.checkVisibility?.() !== false, // what is folded away cannot take the focus
  );
}

function goOn(event) {
  const form = event.target.form;
  if (event.key !== "Enter" || event.isComposing || !form?.matches("[data-rows]")) return;
  if (event.target.matches("button, textarea")) return;
  event.preventDefault();
  const fields = fieldsOf(form);
  const next = fields[fields.indexOf(event.target) + (event.shiftKey ? -1 : 1)];
  next?.focus();
  if (next?.matches("input[type=text], input:not([type])")) next.select();
}

/** Good pieces of a row that nobody has touched: those expected there, less the scrap above it and its own. */
function follow(form) {
  let scrap = 0;
  for (const row of form.querySelectorAll("[data-row]")) {
    const good = row.querySelector("[data-good]");
    scrap += numberIn(row.querySelector("[data-scrap]"));
    const expected = row.querySelector("[data-expected]");
    if (!good || !expected?.value || good.dataset.touched !== undefined) continue;
    good.value = Math.max(0, Number(expected.dataset.first) - scrap);
    expected.value = good.value; // so that a row in which nothing else is written still counts as empty
  }
}

function heed(event) {
  const form = event.target.form;
  if (!form?.matches("[data-rows]")) return;
  if (event.target.matches("[data-good]")) event.target.dataset.touched = "";
  if (event.target.matches("[data-scrap]")) follow(form);
}

export function startRows() {
  document.addEventListener("keydown", goOn);
  document.addEventListener("input", heed);
  whenShown((root) => {
    for (const good of root.querySelectorAll("[data-row] [data-good]")) {
      const expected = good.closest("[data-row]").querySelector("[data-expected]");
      if (good.value !== expected.value) good.dataset.touched = "";
    }
  });
}
