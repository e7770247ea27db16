// Loaded in the head without defer, so that the theme stands before the first paint. The reader's choice is kept in this
// browser; without one the system's preference decides, and is followed as it changes.
(() => {
  const key = "capacityplan.theme";
  const root = document.documentElement;
  const systemIsDark = matchMedia("(prefers-color-scheme: dark)");
  let choice = stored();

  // A browser that keeps nothing for this site throws at the mere mention of its storage.
  function stored() {
    try {
      return localStorage.getItem(key);
    } catch {
      return null;
    }
  }

  function store(theme) {
    try {
      localStorage.setItem(key, theme);
    } catch {
      // The choice then lasts as long as the page.
    }
  }

  function show() {
    const theme = choice ?? (systemIsDark.matches ? "dark" : "light");
    if (root.dataset.theme === theme)
      return;
    root.dataset.theme = theme;
    document.dispatchEvent(new Event("themechange"));
  }

  show();
  systemIsDark.addEventListener("change", show);

  // Another tab of ours.
  addEventListener("storage", event => {
    if (event.key === key) {
      choice = event.newValue;
      show();
    }
  });

  // Listened for here, not by the circuit: the click must not wait for the server, and works on pages without one.
  document.addEventListener("click", event => {
    if (!event.target.closest("[data-theme-toggle]"))
      return;
    choice = root.dataset.theme === "dark" ? "light" : "dark";
    store(choice);
    show();
  });
})();
