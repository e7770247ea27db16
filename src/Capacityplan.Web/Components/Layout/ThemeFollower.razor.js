export function isDark() {
  return document.documentElement.dataset.theme === "dark";
}

export function follow(follower) {
  const report = () => follower.invokeMethodAsync("Follow", isDark());
  document.addEventListener("themechange", report);
  return { stop: () => document.removeEventListener("themechange", report) };
}
