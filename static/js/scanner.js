// A barcode scanner that types: hears its bursts anywhere on the page, takes back what they typed into a field, and
// sends the page's scan form, or looks the code up where the page has none.
import { renewKey } from "./keys.js";
import { makeBurst } from "./burst.js";
import { whenShown } from "./shown.js";

const SAME_SCAN_MS = 5_000;
const ECHO_MS = 150; // scanners set to end with CR LF press Enter twice
const LAST_SCAN = "lotwright-last-scan";

/** Remember what a field holds before a key changes it; type-ahead in a list counts as typing. */
function remember(target) {
  if (target instanceof HTMLSelectElement) return { target, index: target.selectedIndex };
  if (target instanceof HTMLInputElement || target instanceof HTMLTextAreaElement) {
    return { target, value: target.value, from: target.selectionStart, to: target.selectionEnd };
  }
  return { target };
}

function takeBack({ target, value, index, from, to }) {
  if (index !== undefined && target.selectedIndex !== index) {
    target.selectedIndex = index;
  } else if (value !== undefined && target.value !== value) {
    target.value = value;
    if (from !== null) target.setSelectionRange(from, to);
  } else return;
  target.dispatchEvent(new Event("input", { bubbles: true }));
}

function isRepeat(code, at) {
  let last = null;
  try {
    last = JSON.parse(sessionStorage.getItem(LAST_SCAN));
    sessionStorage.setItem(LAST_SCAN, JSON.stringify({ code, at }));
  } catch {
    return false; // no storage: the server tells a repeat, too
  }
  return last?.code === code && at - last.at < SAME_SCAN_MS && at >= last.at;
}

/** The field that a scan fills on a page of rows: the one being typed in, else the first that is empty. */
function codeField() {
  const fields = [...document.querySelectorAll("[data-takes-code]")];
  return fields.find((field) => field === document.activeElement) ?? fields.find((field) => !field.value) ?? fields.at(-1);
}

/**
 * Tell whether a scan is to be answered: one of ours always, another label's only where it typed into no field and the
 * page has a form to send it with. Silence would look like a broken scanner, its Enter would press what has the focus.
 */
function isAnswered(scan, last) {
  const typed = [scan.first.before, last].some(({ value, index }) => value !== undefined || index !== undefined);
  const taken = document.querySelector("[data-takes-code], form[data-rows], form[data-takes-readings]");
  return scan.ours || (!typed && !taken && document.querySelector("form[data-scan-form]") !== null);
}

function deliver(code) {
  const field = codeField();
  if (field) {
    field.value = field.dataset.takesCode === "several" && field.value ? `${field.value} ${code}` : code;
    field.dispatchEvent(new Event("change", { bubbles: true }));
    field.focus();
    return;
  }
  if (document.querySelector("form[data-rows]")) return; // leaving the page would lose what is typed in its rows
  const form = document.querySelector("form[data-scan-form]");
  if (!form) {
    location.assign(`/search?q=${encodeURIComponent(code)}`);
    return;
  }
  if (form.dataset.sending !== undefined) return; // the scan before is still on its way; its answer must be seen first
  form.elements.namedItem("code").value = code;
  renewKey(form);
  form.requestSubmit();
}

function showReadiness() {
  for (const mark of document.querySelectorAll("[data-scan-ready]")) {
    const hears = document.hasFocus();
    mark.hidden = false;
    mark.dataset.state = hears ? "ready" : "deaf";
    const words = hears ? mark.dataset.ready : mark.dataset.deaf;
    if (mark.textContent !== words) mark.textContent = words;
  }
}

export function startScanner() {
  const pattern = document.body.dataset.codePattern;
  if (!pattern) return;
  const burst = makeBurst(pattern);
  let heardAt = -Infinity;

  const hear = (event) => {
    if (event.isComposing || event.ctrlKey || event.altKey || event.metaKey) return;
    const ends = event.key === "Enter" || event.key === "Tab";
    if (ends && event.timeStamp - heardAt <= ECHO_MS) {
      event.preventDefault();
      event.stopImmediatePropagation();
      return;
    }
    heardAt = -Infinity;
    const before = remember(event.target);
    const scan = burst.take({ at: event.timeStamp, key: event.key, code: event.code, shift: event.shiftKey, before });
    if (!scan || !isAnswered(scan, before)) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    heardAt = event.timeStamp;
    takeBack(scan.first.before);
    if (!isRepeat(scan.code, performance.timeOrigin + event.timeStamp)) deliver(scan.code);
  };

  window.addEventListener("keydown", hear, { capture: true });
  window.addEventListener("focus", showReadiness);
  window.addEventListener("blur", showReadiness);
  whenShown(showReadiness);
}
