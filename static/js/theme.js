// Runs in <head> before the page is drawn, so that it never flashes in the wrong scheme.
// Marks the root as having scripts, and sets the scheme this browser was told to keep.
(() => {
  const root = document.documentElement;
  const kept = () => {
    try {
      return localStorage.getItem("lotwright-theme");
    } catch {
      return null; // storage is switched off: follow the system
    }
  };
  const apply = (theme) => {
    if (theme === "light" || theme === "dark") root.dataset.theme = theme;
    else delete root.dataset.theme;
    for (const button of document.querySelectorAll("[data-set-theme]")) {
      button.setAttribute("aria-pressed", String(button.dataset.setTheme === (root.dataset.theme ?? "auto")));
    }
  };

  root.dataset.script = "";
  apply(kept());
  document.addEventListener("DOMContentLoaded", () => apply(kept()));
  document.addEventListener("lotwright:shown", () => apply(kept()));
  document.addEventListener("click", (event) => {
    const button = event.target.closest?.("[data-set-theme]");
    if (!button) return;
    try {
      localStorage.setItem("lotwright-theme", button.dataset.setTheme);
    } catch {
      // applies to this page only
    }
    apply(button.dataset.setTheme);
  });
})();
