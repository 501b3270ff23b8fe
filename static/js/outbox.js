// Keeps what is sent at a station while the network is down, and sends it on, in order, when it is back.
// Forms with `data-outbox` go through here. Each entry carries its client key, which makes sending twice harmless, and
// its age in seconds, so that a wrong clock on the tablet does no harm.
import { renewKey } from "./keys.js";

const KEPT = "lotwright-outbox";
const FIRST_WAIT_MS = 2_000;
const LONGEST_WAIT_MS = 60_000;
const TRY_AGAIN = new Set([401, 408, 429]);

const read = () => JSON.parse(localStorage.getItem(KEPT) ?? "[]");

function keep(entries) {
  localStorage.setItem(KEPT, JSON.stringify(entries));
  show();
}

const waiting = () => read().filter((entry) => !entry.refusal);
const parked = () => read().filter((entry) => entry.refusal);
const without = (key) => read().filter((entry) => entry.key !== key);
const mayPassLater = (status) => status >= 500 || TRY_AGAIN.has(status);

/** Post one entry; resolves to the response, or to null when nothing answered. */
async function post({ url, fields, at }) {
  const age = Math.max(0, Math.round((Date.now() - at) / 1000));
  const body = new URLSearchParams([...fields, ["age", String(age)]]);
  try {
    return await fetch(url, { method: "POST", body, signal: AbortSignal.timeout(15_000) });
  } catch {
    return null;
  }
}

/** Stop what htmx runs on a body that goes: it tears down before it looks whether it is to leave the element alone. */
function tearDown(body) {
  body.setAttribute("hx-ignore", "");
  window.htmx?.process(body, true);
}

/** Put the page that answered in place of this one, as if the browser had gone there. */
async function showAnswer(response) {
  const page = new DOMParser().parseFromString(await response.text(), "text/html");
  history.replaceState(null, "", response.redirected ? response.url : location.href);
  document.title = page.title;
  tearDown(document.body);
  document.body.replaceWith(document.adoptNode(page.body));
  window.htmx?.process(document.body);
  window.scrollTo(0, 0);
  document.querySelector("[autofocus], main")?.focus({ preventScroll: true });
  document.dispatchEvent(new CustomEvent("lotwright:shown"));
}

async function reasonOf(response) {
  const page = new DOMParser().parseFromString(await response.text(), "text/html");
  const said = page.querySelector(".field__errors p, .message--error:not([data-outbox-parked]) .message__body, main h1");
  return said?.textContent.replace(/\s+/g, " ").trim() || String(response.status);
}

let pause = FIRST_WAIT_MS;
let timer = null;
let sending = false;

function later() {
  clearTimeout(timer);
  timer = setTimeout(sendAll, pause);
  pause = Math.min(pause * 2, LONGEST_WAIT_MS);
}

/** Send what waits, oldest first; stop at the first that finds no answer, so that the order stays. */
async function sendAll() {
  if (sending) return;
  sending = true;
  try {
    for (const entry of waiting()) {
      const response = await post(entry);
      if (!response || mayPassLater(response.status)) {
        later();
        return;
      }
      if (response.ok) keep(without(entry.key));
      else {
        const refusal = await reasonOf(response);
        keep(read().map((each) => (each.key === entry.key ? { ...each, refusal } : each)));
      }
      pause = FIRST_WAIT_MS;
    }
  } finally {
    sending = false;
  }
}

async function take(event) {
  const form = event.target;
  if (event.defaultPrevented || !form.matches("form[data-outbox]")) return;
  event.preventDefault();
  if (form.dataset.sending !== undefined) return;
  form.dataset.sending = "";
  const fields = [...new FormData(form, event.submitter)].filter(([name]) => name !== "age");
  const key = form.querySelector("input[data-client-key]").value;
  const entry = { key, url: form.action, fields, at: Date.now(), what: form.dataset.outbox };
  const response = waiting().length ? null : await post(entry);
  delete form.dataset.sending;
  if (response && !mayPassLater(response.status)) {
    await showAnswer(response);
    return;
  }
  keep([...read(), entry]);
  form.reset();
  renewKey(form);
  later();
}

function parkedItem(entry, template) {
  const item = template.content.cloneNode(true);
  item.querySelector("[data-what]").textContent = entry.what;
  item.querySelector("[data-refusal]").textContent = entry.refusal;
  for (const button of item.querySelectorAll("button")) button.dataset.key = entry.key;
  return item;
}

function show() {
  const count = waiting().length;
  for (const badge of document.querySelectorAll("[data-outbox-badge]")) {
    badge.hidden = count === 0;
    badge.textContent = badge.dataset.words.replace("{n}", String(count));
  }
  for (const list of document.querySelectorAll("[data-outbox-parked]")) {
    const entries = parked();
    const template = list.querySelector("template");
    list.hidden = entries.length === 0;
    template.parentElement.replaceChildren(template, ...entries.map((entry) => parkedItem(entry, template)));
  }
}

function decide(event) {
  const button = event.target.closest?.("[data-outbox-again], [data-outbox-discard]");
  if (!button) return;
  const { key } = button.dataset;
  if (button.matches("[data-outbox-discard]")) {
    keep(without(key));
    return;
  }
  keep(read().map((entry) => (entry.key === key ? { ...entry, refusal: undefined } : entry)));
  sendAll();
}

export function startOutbox() {
  document.addEventListener("submit", take);
  document.addEventListener("click", decide);
  document.addEventListener("lotwright:shown", show);
  window.addEventListener("online", sendAll);
  show();
  if (waiting().length) sendAll();
}
