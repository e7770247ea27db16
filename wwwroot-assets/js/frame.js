// The frame around every page: the first paint that makes way, the skip link, the answer that grows slim once the page
// has scrolled, pastes too long to send, and what was typed.

// The style sheet hides the first paint once a page with something on it stands beside it; then it can go.
const opening = document.querySelector(".opening");
if (opening) {
  new MutationObserver((_, observer) => {
    if (document.querySelector(".opening ~ .page main > *")) {
      opening.remove();
      observer.disconnect();
    }
  }).observe(document.body, { childList: true, subtree: true });
}

// The link's own jump would go through the router, which scrolls but does not move the focus.
document.addEventListener("click", event => {
  if (event.target.closest(".skip")) {
    event.preventDefault();
    document.getElementById("main")?.focus();
  }
});

/** Moves the focus to the page's heading, or to its main part while there is none. */
export function focusHeading() {
  const target = document.querySelector(".page h1") ?? document.getElementById("main");
  if (target) {
    target.tabIndex = -1;
    target.focus({ preventScroll: true });
  }
}

// Two thresholds, so that the change of height cannot set it off again; and the height the answer loses is kept as space
// below it, so that nothing under it moves.
const slimAbove = 160;
const fullBelow = 100;
let slim = false;

function fitAnswer() {
  const wanted = slim ? scrollY > fullBelow : scrollY > slimAbove;
  if (wanted === slim)
    return;
  slim = wanted;
  const answer = document.querySelector(".answer");
  if (!answer)
    return;
  const before = answer.offsetHeight;
  document.documentElement.toggleAttribute("data-slim", slim);
  document.documentElement.style.setProperty("--slimmed", slim ? `${before - answer.offsetHeight}px` : "0px");
}

addEventListener("scroll", fitAnswer, { passive: true });

// A message longer than the server takes (CapacityplanApp.MaximumMessageBytes) would end the connection; an input event
// carries the field's text twice.
const longestPaste = 2_000_000;

document.addEventListener("paste", event => {
  const length = event.clipboardData?.getData("text").length ?? 0;
  if (length <= longestPaste)
    return;
  event.preventDefault();
  event.stopImmediatePropagation();
  tell(`That paste has ${(length / 1e6).toFixed(1)} million characters; a field takes 2 million. Nothing was changed. Paste a part of it, or send it as a file.`);
}, true);

function tell(words) {
  document.querySelector(".tell")?.remove();
  const message = document.createElement("div");
  message.className = "undo tell";
  message.setAttribute("role", "alert");
  const close = document.createElement("button");
  close.type = "button";
  close.textContent = "Close";
  close.addEventListener("click", () => message.remove());
  message.append(words, close);
  document.body.append(message);
}

// What was typed on this page, by the element it was typed into. Should the page's components stop, their elements go; what
// was typed into them can still be given back.
let typedOn = location.pathname;
const typed = new Map();

document.addEventListener("input", event => {
  const field = event.target;
  if (!("value" in field) || ["checkbox", "radio", "file", "password"].includes(field.type))
    return;
  if (typedOn !== location.pathname) {
    typedOn = location.pathname;
    typed.clear();
  }
  const name = field.labels?.[0]?.textContent.trim() || field.ariaLabel || field.placeholder || "";
  typed.set(field, { name, value: field.value });
});

/** Puts what was typed on this page into `place`, each text under the name of its field and ready to be copied. */
export function showTyped(place) {
  const kept = [...typed.values()].filter(({ value }) => value.trim() !== "");
  if (typedOn !== location.pathname || kept.length === 0)
    return;

  const heading = document.createElement("p");
  heading.textContent = "What you typed, to copy:";
  place.replaceChildren(heading, ...kept.map(({ name, value }) => {
    const text = document.createElement("textarea");
    text.readOnly = true;
    text.value = value;
    text.rows = Math.min(8, value.split("\n").length);
    const label = document.createElement("label");
    label.append(name, text);
    return label;
  }));
}
