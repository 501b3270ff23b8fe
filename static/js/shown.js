// One place to be told that something new is on the page: at the start, after an htmx swap, after the outbox put an
// answer in place, and when the browser brings a page back from its cache.

/** Call `act(root, again)` with each part of the page as it is shown; `again` is true for a page brought back. */
export function whenShown(act) {
  const later = (event) => act(event.detail?.root ?? document, false);
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", () => act(document, false));
  else act(document, false);
  document.addEventListener("htmx:after:swap", () => act(document, false));
  document.addEventListener("lotwright:shown", later);
  window.addEventListener("pageshow", (event) => event.persisted && act(document, true));
}
