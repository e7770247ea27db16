// The frame around every page: the skip link, the answer that grows slim once the page has scrolled, and what was typed.

// The link's own jump would go through the router, which scrolls but does not move the focus.
document.addEventListener("click", event => {
  if (event.target.closest(".skip")) {
    event.preventDefault();
    document.getElementById("main")?.focus();
  }
});

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
